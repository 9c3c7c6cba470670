//! The paper tag on a thing: its number, its shape, how far it is filled in.

/// The shape of a paper tag, by kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagShape {
    /// Screws, nuts, studs.
    Square,
    /// Hoses, lines and what holds them.
    Circle,
    /// Plugs, earths, cables.
    Triangle,
    /// Clips, pegs, pins and the like.
    Bar,
    /// Parts, and kinds that have no shape of their own.
    Plain,
}

impl TagShape {
    /// Gives the word for data: `square`, `circle`, `triangle`, `bar`, `plain`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Circle => "circle",
            Self::Triangle => "triangle",
            Self::Bar => "bar",
            Self::Plain => "plain",
        }
    }
}

/// How far a tag is filled in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagFill {
    /// Still off, slack, in by hand or started.
    Hollow,
    /// Home and not looked at.
    Half,
    /// Home and looked at, or never off, or nothing to look at.
    Filled,
}

impl TagFill {
    /// Gives the word for data: `hollow`, `half`, `filled`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hollow => "hollow",
            Self::Half => "half",
            Self::Filled => "filled",
        }
    }
}

/// A paper tag: never renumbered within a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tag {
    /// Its number, from 1.
    pub number: u32,
    /// Its shape.
    pub shape: TagShape,
    /// How far it is filled in.
    pub fill: TagFill,
}
