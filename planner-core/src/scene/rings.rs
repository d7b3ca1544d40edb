//! Chains of hosts: cycles in them, and an order in which hosts come first.

/// Cycles in a list of hosts (`None`: on a deck or unknown), each in the order of standing, from its first member on.
pub(super) fn rings(hosts: &[Option<usize>]) -> Vec<Vec<usize>> {
    let host = |at: usize| hosts.get(at).copied().flatten();
    let mut walked = vec![usize::MAX; hosts.len()];
    let mut rings = Vec::new();
    for start in 0..hosts.len() {
        let mut next = Some(start);
        while let Some(at) = next {
            match walked.get_mut(at) {
                Some(mark) if *mark == usize::MAX => *mark = start,
                Some(mark) if *mark == start => {
                    rings.push(ring_from(at, host));
                    break;
                }
                _ => break,
            }
            next = host(at);
        }
    }
    rings
}

fn ring_from(member: usize, host: impl Fn(usize) -> Option<usize>) -> Vec<usize> {
    let mut ring = vec![member];
    let mut next = host(member);
    while let Some(at) = next.filter(|&at| at != member) {
        ring.push(at);
        next = host(at);
    }
    let first = ring.iter().enumerate().min_by_key(|(_, at)| **at).map_or(0, |(place, _)| place);
    ring.rotate_left(first);
    ring
}

/// The list level by level: those on decks, those on these, and so on, each level as listed. Members of cycles are omitted.
pub(super) fn hosts_first(hosts: &[Option<usize>]) -> Vec<usize> {
    let mut guests: Vec<Vec<usize>> = vec![Vec::new(); hosts.len()];
    let mut order = Vec::with_capacity(hosts.len());
    for (at, host) in hosts.iter().enumerate() {
        match host.and_then(|host| guests.get_mut(host)) {
            Some(guests) => guests.push(at),
            None => order.push(at),
        }
    }
    let mut done = 0;
    while let Some(&at) = order.get(done) {
        order.extend(guests.get(at).into_iter().flatten());
        done += 1;
    }
    order
}
