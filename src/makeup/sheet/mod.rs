//! Strips of sheet that are bent: how long they are when flat, how they spring back, round what they go.

pub mod bend;
pub mod springback;
pub mod strap;
