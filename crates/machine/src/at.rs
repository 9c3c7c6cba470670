//! Where something was written.

/// The number of a file in the list of files that were read together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileNo(pub u16);

/// A place in a file: line and column count from 1; line 0 means "nowhere in particular".
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    /// Which file.
    pub file: FileNo,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// A value with the place where it was written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sited<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub at: At,
}

/// A name (or any text) with the place where it was written.
pub type Ref = Sited<String>;

impl<T> Sited<T> {
    /// Puts a value and its place together.
    pub fn new(value: T, at: At) -> Self {
        Self { value, at }
    }
}

impl Ref {
    /// The name itself.
    pub fn name(&self) -> &str {
        &self.value
    }

    /// A name that stands in no file (made by the program or given on the command line).
    pub fn bare(name: impl Into<String>) -> Self {
        Self { value: name.into(), at: At::default() }
    }
}
