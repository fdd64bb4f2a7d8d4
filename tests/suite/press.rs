//! The typesetter: valid archival PDF, embedded fonts, the same bytes every time.
