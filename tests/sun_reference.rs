//! The sun library against the check tables in `tests/data/sun` (origin and tolerances: the README there).
//!
//! The tables are read from the folder named by `SUNCASK_REFERENCE_SUN` when that is set, so that other tables of
//! the same layout can be run; the textbook examples are always our own copy.

mod glass;
mod irradiance;
mod position;
mod table;
mod textbook;
