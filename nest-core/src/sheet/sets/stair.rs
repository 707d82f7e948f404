//! Rectangles of which none is as small as another both ways: from step to step longer along and thinner across.
//!
//! Two stairs one after the other are a stair too, found in as many looks as both have steps (Stockmeyer 1983).

/// Along and across.
pub(super) type Size = [u32; 2];

/// A rectangle as a step.
pub(super) trait Step: Copy {
    fn new(size: Size) -> Self;
    fn size(&self) -> Size;
}

/// A stair that others are laid on, step by step from the shortest on.
pub(super) struct Stair<'a, S> {
    steps: &'a mut Vec<S>,
    /// What comes next goes in from here on.
    at: usize,
}

impl<'a, S: Step> Stair<'a, S> {
    /// On these steps.
    pub fn on(steps: &'a mut Vec<S>) -> Self {
        Self { steps, at: 0 }
    }

    /// Keeps a rectangle that is no shorter than the one before, unless another does for it.
    #[inline]
    pub fn step(&mut self, [along, across]: Size) {
        while self.steps.get(self.at).is_some_and(|step| step.size()[0] < along) {
            self.at += 1;
        }
        let within = |step: &S| step.size()[0] <= along && step.size()[1] <= across;
        if self.steps[..self.at].last().is_some_and(within) || self.steps.get(self.at).is_some_and(within) {
            return;
        }
        let worse = self.steps[self.at..].iter().take_while(|step| step.size()[1] >= across).count();
        if worse == 0 {
            self.steps.insert(self.at, S::new([along, across]));
        } else {
            self.steps[self.at] = S::new([along, across]);
            self.steps.drain(self.at + 1..self.at + worse);
        }
    }
}

/// Lays on a stair what the rectangles of two others make one after the other along an axis, up to the `most`. Returns the
/// work: how many it looked at, and the look at the two.
#[inline]
pub(super) fn join<S: Step>(on: &mut Vec<S>, axis: usize, [a, b]: [&[S]; 2], most: Size) -> u64 {
    let mut stair = Stair::on(on);
    let (mut i, mut j, mut work) = (0, 0, 1);
    if let (Some(first), Some(second)) = (a.first(), b.first())
        && axis == 1
    {
        let mut along = first.size()[0].max(second.size()[0]);
        while along <= most[0] {
            let next = |steps: &[S], at: usize| steps.get(at + 1).map(|step| step.size()[0]);
            while next(a, i).is_some_and(|next| next <= along) {
                i += 1;
            }
            while next(b, j).is_some_and(|next| next <= along) {
                j += 1;
            }
            work += 1;
            let across = a[i].size()[1] + b[j].size()[1];
            if across <= most[1] {
                stair.step([along, across]);
            }
            let Some(longer) = next(a, i).into_iter().chain(next(b, j)).min() else { break };
            along = longer;
        }
        return work;
    }
    while let (Some(first), Some(second)) = (a.get(i), b.get(j)) {
        let ([along, thick], [after, other]) = (first.size(), second.size());
        if along + after > most[0] {
            break;
        }
        work += 1;
        if thick.max(other) <= most[1] {
            stair.step([along + after, thick.max(other)]);
        }
        // Only where the thicker one is thinner, both are.
        i += usize::from(thick >= other);
        j += usize::from(other >= thick);
    }
    work
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::Dice;

    impl Step for Size {
        fn new(size: Size) -> Self {
            size
        }

        fn size(&self) -> Size {
            *self
        }
    }

    /// Those in whose place no other does, from the shortest on.
    fn least(mut all: Vec<Size>) -> Vec<Size> {
        all.sort_unstable();
        all.dedup();
        let within = |a: &Size, b: &Size| a != b && a[0] <= b[0] && a[1] <= b[1];
        let alone = |size: &&Size| !all.iter().any(|other| within(other, size));
        all.iter().filter(alone).copied().collect()
    }

    #[test]
    fn stairs_join_as_all_their_rectangles_do() {
        let mut dice = Dice::new(1, 1);
        for _ in 0..20_000 {
            let mut stair = || {
                let most = 1 + dice.below(12);
                let sizes = (0..dice.below(7)).map(|_| [1 + dice.below(most), 1 + dice.below(most)]);
                least(sizes.collect())
            };
            let (on, a, b) = (stair(), stair(), stair());
            let most = [3 + dice.below(20), 3 + dice.below(20)];
            for axis in 0..2 {
                let both = |(first, second): (&Size, &Size)| {
                    let mut size = [first[0].max(second[0]), first[1].max(second[1])];
                    size[axis] = first[axis] + second[axis];
                    size
                };
                let pairs = a.iter().flat_map(|first| b.iter().map(move |second| (first, second)));
                let fits = pairs.map(both).filter(|size| size[0] <= most[0] && size[1] <= most[1]);
                let (mut joined, expected) = (on.clone(), least(fits.chain(on.clone()).collect()));
                join(&mut joined, axis, [&a, &b], most);
                assert_eq!(joined, expected, "{a:?} and {b:?} along {axis} within {most:?}");
            }
        }
    }
}
