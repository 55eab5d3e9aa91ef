//! Integration tests, one module for each theme.
mod sun_reference;
