//! Test support: random small machines, a slow planner that tries everything, deliberately wrong planners.
