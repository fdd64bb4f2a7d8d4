//! What a command says: data for the standard output, messages for people, an exit code. Only the binary prints it.

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Ending {
    /// Everything is in order.
    #[default]
    Fine,
    /// The input was read, and something was found in it.
    Findings,
    /// The input cannot be used, or the command was not understood.
    Unusable,
}

impl Ending {
    /// The exit code.
    #[must_use]
    pub fn code(self) -> u8 {
        match self {
            Self::Fine => 0,
            Self::Findings => 1,
            Self::Unusable => 2,
        }
    }
}

/// The answer of a command.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Answer {
    /// What goes to the standard output.
    pub output: String,
    /// What goes to the standard error.
    pub messages: String,
    /// How it ended.
    pub ending: Ending,
}

impl Answer {
    /// Data, and nothing wrong.
    #[must_use]
    pub fn output(output: impl Into<String>) -> Self {
        Self { output: output.into(), ..Self::default() }
    }

    /// A message about input that cannot be used.
    #[must_use]
    pub fn unusable(message: impl std::fmt::Display) -> Self {
        Self { messages: format!("error: {message}\n"), ending: Ending::Unusable, ..Self::default() }
    }

    /// Puts another answer behind this one; the graver ending counts.
    pub fn join(&mut self, other: &Self) {
        self.output.push_str(&other.output);
        self.messages.push_str(&other.messages);
        self.ending = self.ending.max(other.ending);
    }
}

/// A message that may have a hint, without a place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Complaint {
    /// A complaint without a hint.
    #[must_use]
    pub fn new(message: impl std::fmt::Display) -> Self {
        Self { message: message.to_string(), hint: None }
    }

    /// With something to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

impl std::fmt::Display for Complaint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.message)?;
        self.hint.iter().try_for_each(|hint| write!(f, "\n  = hint: {hint}"))
    }
}

impl From<Complaint> for Answer {
    fn from(complaint: Complaint) -> Self {
        Self::unusable(complaint)
    }
}

impl From<Complaint> for Box<Answer> {
    fn from(complaint: Complaint) -> Self {
        Box::new(complaint.into())
    }
}
