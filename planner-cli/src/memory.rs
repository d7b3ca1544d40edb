//! A limit on memory: as it is typed, and what of it a search may fill.

const MIB: u64 = 1 << 20;

/// What the program, its threads and the configurations that are being worked out take besides those that are kept, in MiB: a round figure with room to spare.
const BASE_MIB: u64 = 48;
/// Least that a search may fill, in MiB.
const LEAST_MIB: u64 = 1;

/// Bytes that a search may keep so that the whole program stays under a limit in MiB.
pub(crate) fn for_search(limit_mib: u64) -> u64 {
    limit_mib.saturating_sub(BASE_MIB).max(LEAST_MIB) * MIB
}

/// `500M` or `2G` in MiB. Binary units, as systems count memory.
pub(crate) fn parse_mib(text: &str) -> Result<u64, String> {
    let wanted = "give a number of MiB or GiB from 16M to 16384G, such as 500M or 2G";
    let (digits, unit) = text.split_at(text.trim_end_matches(|c: char| c.is_ascii_alphabetic()).len());
    let factor = match unit.to_ascii_lowercase().as_str() {
        "m" | "mib" => 1.0,
        "g" | "gib" => 1024.0,
        _ => return Err(wanted.into()),
    };
    let mib = digits.parse::<f64>().map(|number| number * factor);
    let allowed = mib.ok().filter(|mib| (16.0..=f64::from(1 << 24)).contains(mib));
    allowed.map(|mib| mib as u64).ok_or_else(|| wanted.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_binary() {
        assert_eq!(parse_mib("500M"), Ok(500));
        assert_eq!(parse_mib("2G"), Ok(2048));
        assert_eq!(parse_mib("1.5GiB"), Ok(1536));
        for wrong in ["", "M", "500", "15M", "nanM", "-1G", "1e9G", "2T", "2 G"] {
            assert!(parse_mib(wrong).is_err(), "{wrong}");
        }
    }
}
