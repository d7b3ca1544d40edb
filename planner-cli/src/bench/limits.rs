//! What the system lets a process do to itself, and what it tells about it.

/// Whether a memory limit can be kept here. Other systems accept the call and do not keep it.
pub(crate) const MEMORY_IS_LIMITED: bool = cfg!(target_os = "linux");

/// Limits this process: memory beyond it is refused, and a crash leaves no core file.
#[cfg(target_os = "linux")]
pub(crate) fn confine(memory_mib: Option<u64>) -> Result<(), String> {
    use nix::sys::resource::{Resource, setrlimit};
    // Where core files cannot be switched off there may be one; that is no reason not to run.
    let _ = setrlimit(Resource::RLIMIT_CORE, 0, 0);
    let Some(mib) = memory_mib else { return Ok(()) };
    let bytes = mib << 20;
    setrlimit(Resource::RLIMIT_AS, bytes, bytes)
        .map_err(|error| format!("the memory cannot be limited to {mib} MiB: {error}"))
}

/// Nothing is limited here.
#[cfg(not(target_os = "linux"))]
pub(crate) fn confine(_: Option<u64>) -> Result<(), String> {
    Ok(())
}

/// Processor time of this process so far, in seconds.
#[cfg(unix)]
pub(crate) fn cpu_s() -> Option<f64> {
    use nix::sys::resource::{UsageWho, getrusage};
    use nix::sys::time::TimeValLike;
    let usage = getrusage(UsageWho::RUSAGE_SELF).ok()?;
    Some((usage.user_time().num_microseconds() + usage.system_time().num_microseconds()) as f64 * 1e-6)
}

/// Not known here.
#[cfg(not(unix))]
pub(crate) fn cpu_s() -> Option<f64> {
    None
}

/// Most memory of this process that was resident, in MiB. Linux tells it of the program alone; what `getrusage` tells
/// also counts the program that started it.
pub(crate) fn peak_memory_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib / 1024.0)
}

/// Host, system and processors.
pub(crate) fn machine() -> String {
    let processors = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let system = format!("{} {}", std::env::consts::OS, std::env::consts::ARCH);
    format!("{}, {system}, {}", host(), crate::wording::count(processors, "processor"))
}

#[cfg(unix)]
fn host() -> String {
    nix::unistd::gethostname()
        .map_or_else(|_| "unknown host".into(), |name| name.to_string_lossy().into_owned())
}

#[cfg(not(unix))]
fn host() -> String {
    "unknown host".into()
}
