//! Bench sums: each prints its formula, its numbers and its source.
