//! Sun position, sky and incidence: pure functions, no files, no allocation.
