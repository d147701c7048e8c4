//! What each rule finds and what it leaves alone: marked fixtures, its drawn example, whole designs.

mod baits;
mod charging;
mod demo_sizes;
mod designs;
mod drawn;
mod fixtures;
mod mirrored;
mod plugs;
mod remedies;
mod reviewed;
mod swaps;
mod waivers;
