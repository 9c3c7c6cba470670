//! Accepts or refuses any order, with a reason; knows no planner. Pure.
