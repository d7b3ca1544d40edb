//! Critical path and slack against solved textbook networks.

use crate::support::assert_near;
use clamber_core::unstable::schedule::Network;

/// Activities `(name, duration, predecessors)`.
fn network(activities: &[(char, f64, &str)]) -> Network {
    let index = |name: char| activities.iter().position(|a| a.0 == name).expect("it is in the list");
    let durations: Vec<f64> = activities.iter().map(|a| a.1).collect();
    let after: Vec<Vec<usize>> = activities.iter().map(|a| a.2.chars().map(index).collect()).collect();
    Network::new(&durations, &after, 0.0).expect("no ring")
}

/// Arcs `(from, to, duration)` between events: an arc comes after all that end where it starts.
fn on_arcs(arcs: &[(u32, u32, f64)]) -> Network {
    let durations: Vec<f64> = arcs.iter().map(|a| a.2).collect();
    let after: Vec<Vec<usize>> =
        arcs.iter().map(|a| (0..arcs.len()).filter(|&b| arcs[b].1 == a.0).collect()).collect();
    Network::new(&durations, &after, 0.0).expect("no ring")
}

fn critical(activities: &[(char, f64, &str)], network: &Network) -> String {
    (0..activities.len()).filter(|&k| network.is_critical(k)).map(|k| activities[k].0).collect()
}

/// Hillier & Lieberman, Introduction to Operations Research, project chapter: Reliable Construction.
#[test]
fn fourteen_activities() {
    let activities = [
        ('A', 2.0, ""),
        ('B', 4.0, "A"),
        ('C', 10.0, "B"),
        ('D', 6.0, "C"),
        ('E', 4.0, "C"),
        ('F', 5.0, "E"),
        ('G', 7.0, "D"),
        ('H', 9.0, "EG"),
        ('I', 7.0, "C"),
        ('J', 8.0, "FI"),
        ('K', 4.0, "J"),
        ('L', 5.0, "J"),
        ('M', 2.0, "H"),
        ('N', 6.0, "KL"),
    ];
    let network = network(&activities);
    assert_eq!(network.makespan_s, 44.0);
    assert_eq!(critical(&activities, &network), "ABCEFJLN");
    let slack: Vec<(char, f64)> = (0..activities.len())
        .filter(|&k| !network.is_critical(k))
        .map(|k| (activities[k].0, network.slack_s(k)))
        .collect();
    assert_eq!(slack, [('D', 4.0), ('G', 4.0), ('H', 4.0), ('I', 2.0), ('K', 1.0), ('M', 4.0)]);
}

/// A solved exercise with three-point estimates: mean (a + 4m + b) / 6, variance ((b − a) / 6)² along the critical path.
#[test]
fn three_point_estimates() {
    let estimates = [
        ('A', [5.0, 5.0, 7.0], ""),
        ('B', [1.0, 2.0, 5.0], ""),
        ('C', [5.0, 5.0, 5.0], "A"),
        ('D', [4.0, 8.0, 13.0], "A"),
        ('E', [1.0, 10.0, 17.0], "BC"),
        ('F', [1.0, 5.0, 7.0], "D"),
        ('G', [2.0, 6.0, 9.0], "D"),
        ('H', [4.0, 4.0, 6.0], "EF"),
        ('I', [2.0, 7.0, 10.0], "GH"),
        ('J', [2.0, 4.0, 7.0], "I"),
        ('K', [6.0, 10.0, 13.0], "I"),
        ('L', [2.0, 6.0, 6.0], "J"),
        ('M', [2.0, 2.0, 3.0], "K"),
        ('N', [7.0, 7.0, 12.0], "LM"),
    ];
    let mean = |[a, m, b]: [f64; 3]| (a + 4.0 * m + b) / 6.0;
    let activities: Vec<(char, f64, &str)> = estimates.iter().map(|e| (e.0, mean(e.1), e.2)).collect();
    let network = network(&activities);
    assert_near(network.makespan_s, 50.8333, 1e-3);
    assert_eq!(critical(&activities, &network), "ACEHIKMN");
    let variance: f64 = (0..estimates.len())
        .filter(|&k| network.is_critical(k))
        .map(|k| ((estimates[k].1[2] - estimates[k].1[0]) / 6.0).powi(2))
        .sum();
    assert_near(variance, 11.19444, 1e-3);
    for (name, slack) in [('B', 8.0), ('D', 1.833), ('F', 1.833)] {
        let k = activities.iter().position(|a| a.0 == name).expect("it is in the list");
        assert_near(network.slack_s(k), slack, 1e-3);
    }
}

/// Taylor, Introduction to Management Science, chapter 8, solved problems: activities on arcs.
#[test]
fn activities_on_arcs() {
    let first = on_arcs(&[
        (1, 2, 7.0),
        (1, 3, 10.0),
        (2, 4, 6.0),
        (3, 4, 5.0),
        (3, 5, 4.0),
        (4, 5, 3.0),
        (5, 6, 2.0),
    ]);
    assert_eq!(first.makespan_s, 20.0);
    let slack: Vec<f64> = (0..7).map(|k| first.slack_s(k)).collect();
    assert_eq!(slack, [2.0, 0.0, 2.0, 0.0, 4.0, 0.0, 0.0]);
    let second = on_arcs(&[
        (1, 2, 8.0),
        (1, 3, 10.0),
        (1, 4, 9.0),
        (2, 5, 6.0),
        (2, 6, 4.0),
        (3, 5, 5.0),
        (4, 5, 0.0),
        (4, 7, 7.0),
        (5, 7, 12.0),
        (5, 8, 15.0),
        (6, 9, 18.0),
        (7, 8, 4.0),
        (8, 9, 7.0),
    ]);
    assert_eq!(second.makespan_s, 38.0);
}

/// The same book: four activities in a row with three-point estimates.
#[test]
fn a_row_of_estimates() {
    let estimates: [[f64; 3]; 4] = [[5.0, 8.0, 17.0], [3.0, 5.0, 7.0], [4.0, 6.0, 8.0], [3.0, 4.0, 5.0]];
    let durations: Vec<f64> = estimates.iter().map(|[a, m, b]| (a + 4.0 * m + b) / 6.0).collect();
    let network = Network::new(&durations, &[vec![], vec![0], vec![1], vec![2]], 0.0).expect("no ring");
    assert_near(network.makespan_s, 24.0, 1e-9);
    assert!((0..4).all(|k| network.is_critical(k)));
    let variance: f64 = estimates.iter().map(|[a, _, b]| ((b - a) / 6.0_f64).powi(2)).sum();
    assert_near(variance, 5.0, 1e-9);
}

#[test]
fn rings_and_strangers_make_no_network() {
    assert_eq!(Network::new(&[1.0, 1.0], &[vec![1], vec![0]], 0.0), None);
    assert_eq!(Network::new(&[1.0], &[vec![7]], 0.0), None);
    assert_eq!(Network::new(&[1.0, 2.0], &[vec![], vec![0]], 0.5).map(|n| n.makespan_s), Some(3.5));
}
