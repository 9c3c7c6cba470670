//! What makes a hidden machine difficult: second ways, what is hidden, back-only needs, riders,
//! fixings in the way of fixings. Each is kept only if everything still comes apart and goes back.

use lastbolt_machine::model::Back;
use lastbolt_machine::{At, Part, Ref, Sited, Tie, Way};

use super::hidden::{Maker, sited};
use super::sound::is_sound;

impl Maker {
    pub(super) fn features(&mut self) {
        let ties = self.machine.ties.len();
        for tie in 0..ties {
            if self.rng.percent(self.taste.hidden) {
                self.tried(|maker| maker.hide(tie));
            }
            if self.rng.percent(self.taste.second) {
                self.tried(|maker| maker.second_way(tie));
            }
            if self.rng.percent(3) {
                self.tried(|maker| maker.behind_a_fixing(tie));
            }
        }
        if self.rng.percent(50) {
            self.back_only();
        }
        if self.rng.percent(35) {
            let riders = self.rng.between(1, 2);
            for _ in 0..riders {
                self.tried(Self::rider);
            }
        }
    }

    /// Makes a change and takes it back if the machine is no longer sound; says whether it is kept.
    fn tried(&mut self, change: impl FnOnce(&mut Self) -> bool) -> bool {
        let before = self.machine.clone();
        if change(self) && is_sound(&self.machine) {
            return true;
        }
        self.machine = before;
        false
    }

    /// A tie is covered once all is home, rather by what is in its way.
    fn hide(&mut self, tie: usize) -> bool {
        let in_the_way = first_clear(&self.machine.ties[tie].ways);
        let is_part = |name: &Ref| self.machine.parts.iter().any(|part| part.id == *name);
        let covers: Vec<Ref> = in_the_way.into_iter().filter(is_part).collect();
        let hider = if covers.is_empty() || self.rng.percent(25) {
            self.any_part()
        } else {
            self.rng.pick(&covers).cloned()
        };
        let Some(hider) = hider else { return false };
        let by_feel = self.rng.percent(self.taste.feel);
        let drops = self.rng.percent(50);
        let it = &mut self.machine.ties[tie];
        if it.joins.contains(&hider) {
            return false;
        }
        it.hidden_by.push(hider.clone());
        let Some(ways) = &mut it.ways else { return false };
        if by_feel && ways[0].clear.contains(&hider) {
            let mut felt = ways[0].clone();
            felt.clear.retain(|name| *name != hider);
            felt.feel = true;
            felt.minutes = felt.minutes.and_then(|minutes| sited(minutes.value.0 * 3 / 2));
            if drops {
                ways[0] = felt;
            } else {
                ways.push(felt);
            }
        }
        true
    }

    /// Another way from another place, past other things.
    fn second_way(&mut self, tie: usize) -> bool {
        let spot = self.rng.pick(&self.spots).cloned();
        let factor = self.rng.between(4, 9) as i64;
        let past = self.rng.below(3);
        let tool = if self.rng.percent(35) { None } else { self.tool() };
        let parts: Vec<Ref> = (0..past).filter_map(|_| self.any_part()).collect();
        let feel = self.rng.percent(30);
        let it = &mut self.machine.ties[tie];
        let Some(ways) = &mut it.ways else { return false };
        let first = ways[0].clone();
        let mut clear: Vec<Ref> = Vec::new();
        for part in parts {
            let known = first.clear.contains(&part) || it.joins.contains(&part);
            if !known && !clear.contains(&part) {
                clear.push(part);
            }
        }
        if spot == first.from {
            return false;
        }
        let minutes = first.minutes.and_then(|m| sited(m.value.0 * factor / 4 / 50 * 50));
        ways.push(Way { from: spot, tool, minutes, clear, feel, ..Way::default() });
        true
    }

    /// A fixing that can only be reached when another one is undone.
    fn behind_a_fixing(&mut self, tie: usize) -> bool {
        let other = self.rng.below(self.machine.ties.len());
        let other = self.machine.ties[other].id.clone();
        let it = &mut self.machine.ties[tie];
        if it.id == other {
            return false;
        }
        it.ways.iter_mut().flatten().for_each(|way| way.clear.push(other.clone()));
        true
    }

    /// One to three things that want more room, or another place, when they go back.
    fn back_only(&mut self) {
        let wanted = self.rng.between(1, 3);
        let mut kept = 0;
        for _ in 0..60 {
            let done = match self.rng.below(10) {
                0..4 => self.tried(Self::goes_back_before_what_it_let_out),
                4..8 => self.tried(Self::wants_more_room),
                _ => self.tried(Self::goes_back_from_elsewhere),
            };
            kept += usize::from(done);
            if kept == wanted {
                return;
            }
        }
    }

    /// What comes off only after a part has gone has to wait for that part going back: the record
    /// backwards would be wrong whatever the order of taking apart was.
    fn goes_back_before_what_it_let_out(&mut self) -> bool {
        let inner = self.rng.below(self.machine.parts.len());
        let clear = first_clear(&self.machine.parts[inner].ways);
        let Some(outer) = self.rng.pick(&clear).cloned() else { return false };
        let Some(first) = self.machine.parts.iter().position(|part| part.id == outer) else {
            return false;
        };
        let late = self.machine.parts[inner].id.clone();
        let with_fixing = self.rng.percent(40);
        let holding: Vec<usize> = (0..self.machine.ties.len())
            .filter(|&tie| self.machine.ties[tie].joins.contains(&outer))
            .filter(|&tie| !self.machine.ties[tie].joins.contains(&late))
            .collect();
        let tie = self.rng.pick(&holding).copied().filter(|_| with_fixing);
        let part = &mut self.machine.parts[inner];
        let mut back = part.ways.clone().unwrap_or_default();
        back.iter_mut().for_each(|way| way.clear.retain(|name| *name != outer));
        part.back = Back::Ways(back);
        match tie {
            Some(tie) => {
                let it = &mut self.machine.ties[tie];
                it.back = more_room(&it.ways, &it.back, &late);
            }
            None => {
                let it = &mut self.machine.parts[first];
                it.back = more_room(&it.ways, &it.back, &late);
            }
        }
        // What holds the late part must be reachable with the early one home.
        for it in self.machine.ties.iter_mut().filter(|tie| tie.joins.contains(&late)) {
            if it.ways.iter().flatten().any(|way| way.clear.contains(&outer)) {
                let mut back = it.ways.clone().unwrap_or_default();
                back.iter_mut().for_each(|way| way.clear.retain(|name| *name != outer));
                it.back = Back::Ways(back);
                it.hidden_by.retain(|name| *name != outer);
            }
        }
        true
    }

    fn wants_more_room(&mut self) -> bool {
        let Some(room) = self.any_part() else { return false };
        if self.rng.percent(35) {
            let part = self.rng.below(self.machine.parts.len());
            let it = &mut self.machine.parts[part];
            if it.id == room || names(&it.ways, &it.back, &room) {
                return false;
            }
            it.back = more_room(&it.ways, &it.back, &room);
            return true;
        }
        let tie = self.rng.below(self.machine.ties.len());
        let it = &mut self.machine.ties[tie];
        if it.joins.contains(&room) || names(&it.ways, &it.back, &room) {
            return false;
        }
        it.back = more_room(&it.ways, &it.back, &room);
        true
    }

    fn goes_back_from_elsewhere(&mut self) -> bool {
        let tie = self.rng.below(self.machine.ties.len());
        let (room, spot) = (self.any_part(), self.rng.pick(&self.spots).cloned());
        let Some(room) = room else { return false };
        let it = &mut self.machine.ties[tie];
        let Some(first) = it.ways.iter().flatten().next() else { return false };
        if it.joins.contains(&room) || names(&it.ways, &it.back, &room) || first.from == spot {
            return false;
        }
        it.back = Back::Ways(vec![Way { from: spot, clear: vec![room], ..first.clone() }]);
        true
    }

    /// Something that comes off its part at the bench.
    fn rider(&mut self) -> bool {
        let carrier = self.rng.below(self.machine.parts.len());
        if self.machine.parts[carrier].rides.is_some() {
            return false;
        }
        let carrier = self.machine.parts[carrier].id.clone();
        let bench = Ref::bare("bench");
        let id = self.name("p");
        let way = Way {
            from: Some(bench.clone()),
            minutes: sited(250 * self.rng.between(1, 6) as i64),
            ..Way::default()
        };
        self.machine.parts.push(Part {
            id: id.clone(),
            rides: Some(carrier.clone()),
            ways: Some(vec![way]),
            ..Part::default()
        });
        self.homes.push(0);
        let fixings = self.rng.between(1, 2);
        for _ in 0..fixings {
            let count = self.count("screw");
            let way = Way {
                from: Some(bench.clone()),
                tool: self.tool(),
                minutes: self.tie_minutes(count),
                ..Way::default()
            };
            let name = self.name("t");
            self.machine.ties.push(Tie {
                id: name,
                joins: vec![id.clone(), carrier.clone()],
                kind: Some(Ref::bare("screw")),
                count: Some(Sited::new(count, At::default())),
                ways: Some(vec![way]),
                ..Tie::default()
            });
        }
        true
    }

    fn any_part(&mut self) -> Option<Ref> {
        let parts: Vec<&Part> =
            self.machine.parts.iter().filter(|part| part.rides.is_none()).collect();
        self.rng.pick(&parts).map(|part| part.id.clone())
    }
}

fn first_clear(ways: &Option<Vec<Way>>) -> Vec<Ref> {
    ways.iter().flatten().next().map(|way| way.clear.clone()).unwrap_or_default()
}

/// The ways back with one thing more that has to be out of the way.
fn more_room(ways: &Option<Vec<Way>>, back: &Back, room: &Ref) -> Back {
    let mut back = match back {
        Back::Ways(back) => back.clone(),
        _ => ways.clone().unwrap_or_default(),
    };
    for way in &mut back {
        if !way.clear.contains(room) {
            way.clear.push(room.clone());
        }
    }
    Back::Ways(back)
}

fn names(ways: &Option<Vec<Way>>, back: &Back, name: &Ref) -> bool {
    let in_ways = ways.iter().flatten().any(|way| way.clear.contains(name));
    let in_back = match back {
        Back::Ways(back) => back.iter().any(|way| way.clear.contains(name)),
        _ => false,
    };
    in_ways || in_back
}
