//! Every reference case in one list, and `docs/validation.md`, which is written from it.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used, reason = "a test that cannot go on has failed")]
mod asked;
#[path = "../statics/bench.rs"]
#[allow(dead_code, unreachable_pub, reason = "shared with the tests of the static figures")]
mod bench;
mod direct;
mod evidence;
mod gains;
mod hold;
#[path = "../proof/network_case.rs"]
#[allow(dead_code, reason = "shared with the proof of the engine")]
mod network_case;
mod networks;
mod page;
mod rejections;
mod row;
mod series;
mod statics;
