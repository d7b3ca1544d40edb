// Opens pages in headless Chromium.
import { chromium } from "playwright-core";
import { pathToFileURL } from "node:url";

/** A browser that draws with the processor and talks to nobody. */
export function launch() {
  return chromium.launch({
    executablePath: process.env.CLAMBER_CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader", "--disable-background-networking", "--no-first-run"],
  });
}

/** A page with a list of what went wrong on it and of what it asked the network for. */
export async function open(browser, file, { width = 1280, height = 800, ...options } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...options });
  const page = await context.newPage();
  page.trouble = [];
  page.requests = [];
  page.on("console", (message) => ["error", "warning"].includes(message.type()) && page.trouble.push(message.text()));
  page.on("pageerror", (error) => page.trouble.push(String(error)));
  page.on("request", (request) => page.requests.push(request.url()));
  await page.goto(pathToFileURL(file).href);
  await page.waitForFunction(() => window.clamber);
  return page;
}
