//! What an editor is shown: names and their places over all fixtures, and whole sessions of a scripted client.

mod alike;
mod client;
mod names;
mod protocol;
mod renames;
mod sessions;
mod typing;
mod worded;
