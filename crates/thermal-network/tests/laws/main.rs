//! Laws that hold for any plant under any conditions, and the order at which results settle as steps are halved.

mod balance;
mod bounds;
mod control;
mod convergence;
mod kinds;
mod plants;
mod rest;
