//! Integration tests, one module for each theme.

mod invented;
mod pictures;
