//! Tightening: values as entered, rounds and their order, the wrench behind an adapter, plausibility, and what a
//! joint does while it is tightened. Pure: numbers and words in, numbers and words out; it knows no machines.
