//! Practice fault sheets for a class.
