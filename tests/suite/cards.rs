//! Tests of this room.
