//! What rating sheets and labels say, turned into what the model computes with: pure functions, no files, no plant.
//!
//! - `collector`: efficiency curves over inlet or mean temperature, peak efficiencies, editions of the standard;
//! - `test_flow`: the same collector at another flow or fluid, and several of them in series or parallel;
//! - `sheet`: the daily outputs that a rating sheet prints, worked out from the coefficients;
//! - `foam`: loss of a tank through foam of a thickness;
//! - `gas_heater`: shell, flue, pilot and burner of a gas heater behind its label;
//! - `heater_label`: standby loss of a water heater from its energy factor;
//! - `store_class`: standing loss of a tank from its European class.

pub mod collector;
pub mod foam;
pub mod gas_heater;
pub mod heater_label;
pub mod sheet;
pub mod store_class;
pub mod test_flow;
