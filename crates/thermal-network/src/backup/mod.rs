//! Backup heat: what warms the water when the sun does not.

pub(crate) mod element;
