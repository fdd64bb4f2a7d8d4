//! Fault kinds, dictionary, look-alikes, check order, narrowing.
