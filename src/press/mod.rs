//! Embedded Typst: world, fonts, PDF, PNG, imposition, files.
