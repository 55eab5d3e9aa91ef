//! Components of a solar water heating plant and one step of it.
