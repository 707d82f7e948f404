//! The laws that tie reading and printing together, on random values and random texts.
