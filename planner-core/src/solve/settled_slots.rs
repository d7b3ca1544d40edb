//! Which optional slots a plan fills: as many as the crew suffices for, in the order of the scene.

use crate::model::{Problem, Slot, SlotId, SlotPlace};
use crate::search::can_fill;

/// The same problem with as many optional slots as can be filled as slots like any other, and without the rest; and without any of them. `None` where
/// no slot is optional.
pub(super) fn with_settled_slots(problem: &Problem) -> Option<[Problem; 2]> {
    let slots = &problem.goal.slots;
    if !slots.iter().any(|slot| slot.optional) {
        return None;
    }
    let fewest: Vec<usize> = (0..slots.len()).filter(|&slot| !slots[slot].optional).collect();
    let mut chosen = fewest.clone();
    for slot in (0..slots.len()).filter(|&slot| slots[slot].optional) {
        let has_host = match slots[slot].place {
            SlotPlace::OnGround(..) => true,
            SlotPlace::OnSlot(below, _) => chosen.contains(&below.index()),
        };
        chosen.push(slot);
        if !(has_host && can_fill(problem, &chosen)) {
            chosen.pop();
        }
    }
    chosen.sort_unstable();
    Some([with_slots(problem, &chosen), with_slots(problem, &fewest)])
}

/// The problem with some of its slots, hosts before the slots on them.
fn with_slots(problem: &Problem, chosen: &[usize]) -> Problem {
    let slots = &problem.goal.slots;
    let renamed = |below: SlotId| chosen.iter().position(|&slot| slot == below.index()).map(SlotId::at);
    let settled = chosen.iter().filter_map(|&slot| {
        let slot = &slots[slot];
        let place = match slot.place {
            SlotPlace::OnSlot(below, toward) => SlotPlace::OnSlot(renamed(below)?, toward),
            ground => ground,
        };
        Some(Slot { place, optional: false, ..slot.clone() })
    });
    let mut settled_problem = problem.clone();
    settled_problem.goal.slots = settled.collect();
    settled_problem
}
