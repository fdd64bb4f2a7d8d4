//! SVG diagrams: symbols, path diagram, profile chart.
