//! A part of a list of jobs, for several machines.

use std::str::FromStr;

/// One of so many equal parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Shard {
    /// From 1.
    number: usize,
    of: usize,
}

impl Shard {
    /// Everything in one part.
    pub(crate) const WHOLE: Self = Self { number: 1, of: 1 };

    /// Its share of a list.
    pub(crate) fn of<T>(self, all: Vec<T>) -> Vec<T> {
        all.into_iter().skip(self.number - 1).step_by(self.of).collect()
    }
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parts = text.split_once('/').and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
        match parts {
            Some((number, of)) if (1..=of).contains(&number) => Ok(Self { number, of }),
            _ => Err("give k/n with k from 1 to n, such as 3/8".into()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shards_are_a_partition() {
        let all: Vec<usize> = (0..23).collect();
        let mut together: Vec<usize> = Vec::new();
        for number in 1..=5 {
            let part = Shard { number, of: 5 }.of(all.clone());
            assert!((4..=5).contains(&part.len()), "{part:?}");
            together.extend(part);
        }
        together.sort_unstable();
        assert_eq!(together, all);
        assert_eq!(Shard::WHOLE.of(all.clone()), all);
    }

    #[test]
    fn shards_that_make_no_sense_are_refused() {
        for wrong in ["0/4", "5/4", "1", "1/0", "a/4", "-1/4", "1/4/2", ""] {
            assert!(wrong.parse::<Shard>().is_err(), "{wrong}");
        }
        assert_eq!("4/4".parse(), Ok(Shard { number: 4, of: 4 }));
    }
}
