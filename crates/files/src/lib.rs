//! Machine, job and garage files as text: reading with positions. Pure.
