//! File names from module names, which are arbitrary strings: safe on every file system, never alike, and readable back by
//! percent-decoding.

use std::fmt::Write;

/// Longest stem, in bytes; file systems take 255 with the extension.
const LONGEST: usize = 200;
/// Names of devices on some systems, whatever the extension.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A stem for each name, all different even where case does not count.
pub(crate) fn file_stems(names: &[String]) -> Vec<String> {
    let folded: Vec<String> = names.iter().map(|name| name.to_lowercase()).collect();
    let stem = |(index, name): (usize, &String)| {
        let alike = folded.iter().filter(|other| **other == folded[index]).count() > 1;
        let stem = encode(name, alike || is_device(&folded[index]));
        if stem.len() <= LONGEST {
            return stem;
        }
        // `~` is in no encoded name, so that the number makes it unlike all others.
        let cut = stem[..LONGEST].rfind('%').filter(|at| at + 3 > LONGEST).unwrap_or(LONGEST);
        format!("{}~{index}", &stem[..cut])
    };
    names.iter().enumerate().map(stem).collect()
}

/// Percent-encodes all but `[A-Za-z0-9._-]`, and a first `.` or `-`; with `fully` also the first letter and every capital.
fn encode(name: &str, fully: bool) -> String {
    let mut stem = String::new();
    for (at, byte) in name.bytes().enumerate() {
        let plain = byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
        let leads = at == 0 && matches!(byte, b'.' | b'-');
        let marked = fully && (byte.is_ascii_uppercase() || at == 0);
        if plain && !leads && !marked {
            stem.push(char::from(byte));
        } else {
            let _ = write!(stem, "%{byte:02X}");
        }
    }
    stem
}

fn is_device(folded: &str) -> bool {
    let stem = folded.split('.').next().unwrap_or_default();
    let numbered = |word: &str| {
        stem.strip_prefix(word).is_some_and(|n| n.len() == 1 && n.as_bytes()[0].is_ascii_digit())
    };
    DEVICES.contains(&stem) || numbered("com") || numbered("lpt")
}

#[cfg(test)]
mod tests {
    use super::file_stems;

    fn stems(names: &[&str]) -> Vec<String> {
        file_stems(&names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn odd_names_stay_inside_the_folder() {
        let names = ["..", ".", "../../etc", "a/b", "a b", "-rf", "ä", "a%20b", "m_1.x-2"];
        let expected =
            ["%2E.", "%2E", "%2E.%2F..%2Fetc", "a%2Fb", "a%20b", "%2Drf", "%C3%A4", "a%2520b", "m_1.x-2"];
        assert_eq!(stems(&names), expected);
    }

    #[test]
    fn names_that_differ_in_case_alone_make_different_files() {
        let made = stems(&["m1", "M1", "%4D1", "con", "Lpt9.log"]);
        let mut folded: Vec<String> = made.iter().map(|s| s.to_lowercase()).collect();
        folded.sort();
        folded.dedup();
        assert_eq!(folded.len(), made.len(), "{made:?}");
        assert_eq!(made[3], "%63on");
    }

    #[test]
    fn long_names_are_cut_between_characters_and_numbered() {
        let long = "ö".repeat(150);
        let made = stems(&[&long, &format!("{long}b")]);
        assert!(made.iter().all(|s| s.len() < 220), "{made:?}");
        assert!(made[0].ends_with("%B6~0") || made[0].ends_with("%C3~0"), "{made:?}");
        assert_ne!(made[0], made[1]);
    }
}
