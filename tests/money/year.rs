//! Whole years.
