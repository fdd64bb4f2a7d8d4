//! What may be wrong in the description or the machine: rules, one to a file, each with its source.
