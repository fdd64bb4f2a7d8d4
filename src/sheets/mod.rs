//! One file a document: from machine and results to plain data for the template.
