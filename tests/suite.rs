//! Integration tests, one module for each theme.

mod job_file;
