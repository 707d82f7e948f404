//! Pricing on long tables: the bounded knapsack as a list of states that no other state beats.
//!
//! A state is a reachable (length, value); one that is longer and not dearer than another is dropped, and so is
//! one that even with the best fractional filling of the rest cannot get above what is wanted. The list does not
//! grow with the number of length units, so lengths of any fineness do. Source: Nemhauser and Ullmann 1969
//! for the list, Dantzig 1957 for the bound.

use super::knapsack::Offer;

#[derive(Clone, Copy)]
struct State {
    length: u64,
    value: i64,
    parent: u32,
    chunk: u32,
}

/// What a bar can collect.
pub(super) struct Found {
    /// An upper bound on what one bar collects; reached by the first pattern where it is above the threshold.
    pub bound: i64,
    /// Patterns worth more than the threshold, best first.
    pub patterns: Vec<(i64, Vec<(usize, u64)>)>,
    /// States made.
    pub work: u64,
}

/// Finds up to `most` patterns of a bar worth more than `threshold`. `offers` in any order.
pub(super) fn search(
    offers: &[Offer],
    capacity: u64,
    threshold: i64,
    most: usize,
    state_limit: usize,
) -> Found {
    let mut sorted: Vec<Offer> = offers.iter().copied().filter(|o| o.length <= capacity).collect();
    // Densest first: price a / length a > price b / length b.
    sorted.sort_by(|a, b| {
        let left = i128::from(a.price) * i128::from(b.length);
        let right = i128::from(b.price) * i128::from(a.length);
        right.cmp(&left).then(b.length.cmp(&a.length)).then(a.item.cmp(&b.item))
    });
    let mut chunks: Vec<(usize, u64, u64, i64)> = Vec::new();
    for o in &sorted {
        let mut left = o.copies.min(capacity / o.length.max(1));
        let mut size = 1;
        while left > 0 {
            let times = size.min(left);
            chunks.push((o.item, times, o.length * times, o.price * times as i64));
            left -= times;
            size *= 2;
        }
    }
    let mut lengths = vec![0_u64; chunks.len() + 1];
    // All offers together may be worth more than one bar can hold.
    let mut prices = vec![0_i128; chunks.len() + 1];
    for (k, c) in chunks.iter().enumerate() {
        lengths[k + 1] = lengths[k].saturating_add(c.2);
        prices[k + 1] = prices[k] + i128::from(c.3);
    }
    // Best fractional filling of `room` with chunks from `k` on, rounded up.
    let fill = |k: usize, room: u64| -> i64 {
        let base = lengths[k];
        let upto = base.saturating_add(room);
        let last = lengths.partition_point(|&l| l <= upto) - 1;
        let whole = (prices[last] - prices[k]) as i64;
        if last < chunks.len() {
            let rest = upto - lengths[last];
            let (_, _, length, price) = chunks[last];
            whole + (price as f64 / length as f64 * rest as f64 * (1.0 + 1e-12)) as i64 + 1
        } else {
            whole
        }
    };
    let mut arena = vec![State { length: 0, value: 0, parent: u32::MAX, chunk: u32::MAX }];
    let mut front: Vec<u32> = vec![0];
    let mut next: Vec<u32> = Vec::new();
    let mut best = threshold;
    let mut peak = threshold;
    let mut bound_left = 0_i64;
    let mut work = 0_u64;
    for (k, &(_, _, length, price)) in chunks.iter().enumerate() {
        if arena.len() >= state_limit {
            // Out of room: what is open is worth its fractional filling at the most.
            let reach = |&s: &u32| arena[s as usize].value + fill(k, capacity - arena[s as usize].length);
            bound_left = front.iter().map(reach).max().unwrap_or(0);
            break;
        }
        next.clear();
        let mut stay = 0;
        let mut top = -1_i64;
        // Merge two sorted lists: states as they are, and with this chunk added.
        let mut take = 0;
        loop {
            let a = front.get(stay).map(|&s| arena[s as usize].length);
            let b = front.get(take).map(|&s| arena[s as usize].length + length).filter(|&l| l <= capacity);
            let (from, new) = match (a, b) {
                (None, None) => break,
                (Some(x), Some(y)) if y < x => (take, true),
                (None, Some(_)) => (take, true),
                _ => (stay, false),
            };
            let id = front[from];
            let state = arena[id as usize];
            if new {
                take += 1;
                let value = state.value + price;
                if value > top {
                    let reach = value + fill(k + 1, capacity - state.length - length);
                    if reach > best {
                        top = value;
                        arena.push(State {
                            length: state.length + length,
                            value,
                            parent: id,
                            chunk: k as u32,
                        });
                        next.push((arena.len() - 1) as u32);
                        if value > peak {
                            // Patterns far behind the best one found are not worth their states.
                            peak = value;
                            best =
                                if most == 1 { value } else { best.max(threshold + (peak - threshold) / 2) };
                        }
                    } else {
                        top = value;
                    }
                }
            } else {
                stay += 1;
                if state.value > top {
                    top = state.value;
                    if state.value + fill(k + 1, capacity - state.length) > best {
                        next.push(id);
                    }
                }
            }
        }
        work += (front.len() + next.len()) as u64 + 1;
        std::mem::swap(&mut front, &mut next);
        if front.is_empty() {
            break;
        }
    }
    let mut finals: Vec<(i64, u32)> = (0..arena.len() as u32)
        .map(|s| (arena[s as usize].value, s))
        .filter(|&(v, _)| v > threshold)
        .collect();
    finals.sort_unstable_by(|a, b| b.cmp(a));
    finals.truncate(most);
    let patterns: Vec<(i64, Vec<(usize, u64)>)> = finals
        .iter()
        .map(|&(value, mut s)| {
            let mut counts: Vec<(usize, u64)> = Vec::new();
            while arena[s as usize].parent != u32::MAX {
                let state = arena[s as usize];
                let (item, times, _, _) = chunks[state.chunk as usize];
                match counts.iter_mut().find(|(i, _)| *i == item) {
                    Some((_, n)) => *n += times,
                    None => counts.push((item, times)),
                }
                s = state.parent;
            }
            counts.sort_unstable();
            (value, counts)
        })
        .collect();
    let bound = patterns.first().map_or(threshold, |p| p.0).max(bound_left);
    Found { bound, patterns, work: work * 4 + arena.len() as u64 }
}
