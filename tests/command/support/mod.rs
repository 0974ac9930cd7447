//! Running the built command in a folder of its own.

#![allow(dead_code)] // each test uses some of it

use std::path::Path;
use std::process::{Command, Output};

/// Runs the command in `folder`: the one built with this test, or what `CROSSGRAIN_COMMAND` names.
pub fn run(folder: &Path, args: &[&str]) -> Output {
    let built = || env!("CARGO_BIN_EXE_crossgrain").into();
    let command = std::env::var_os("CROSSGRAIN_COMMAND").unwrap_or_else(built);
    Command::new(command)
        .current_dir(folder)
        .args(args)
        .output()
        .expect("the command starts")
}

/// Exit code, -1 when killed.
pub fn code(o: &Output) -> i32 {
    o.status.code().unwrap_or(-1)
}

/// Standard error as text.
pub fn stderr(o: &Output) -> String {
    String::from_utf8_lossy(&o.stderr).into_owned()
}

/// Standard output as text.
pub fn stdout(o: &Output) -> String {
    String::from_utf8_lossy(&o.stdout).into_owned()
}

/// A feature as text.
pub fn feature(properties: &str, kind: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type":"Feature","properties":{properties},"geometry":{{"type":"{kind}","coordinates":{coordinates}}}}}"#
    )
}

/// A feature collection as text.
pub fn collection(features: &[String]) -> String {
    format!(
        r#"{{"type":"FeatureCollection","features":[{}]}}"#,
        features.join(",")
    )
}

/// A fairway of about 118 m by 44 m at 45 N.
pub fn fairway(name: &str) -> String {
    feature(
        &format!(r#"{{"role":"fairway","name":{name}}}"#),
        "Polygon",
        "[[[5,45],[5.0015,45],[5.0015,45.0004],[5,45.0004],[5,45]]]",
    )
}

/// A fairway of one ring.
pub fn ring(coordinates: &str) -> String {
    feature(
        r#"{"role":"fairway","name":"7"}"#,
        "Polygon",
        &format!("[{coordinates}]"),
    )
}
