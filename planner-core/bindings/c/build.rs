//! Makes the header, and fails if the committed one is another. `CLAMBER_BLESS=1` writes that anew.

#![allow(clippy::disallowed_methods, reason = "a build script reads and writes files")]

use std::path::Path;

fn main() {
    println!("cargo:rerun-if-changed=src");
    println!("cargo:rerun-if-changed=cbindgen.toml");
    println!("cargo:rerun-if-changed=include/clamber/clamber.h");
    println!("cargo:rerun-if-env-changed=CLAMBER_BLESS");
    let folder = std::env::var("CARGO_MANIFEST_DIR").expect("cargo says where this is");
    let config = cbindgen::Config::from_file("cbindgen.toml").expect("cbindgen.toml can be read");
    let bindings = cbindgen::Builder::new().with_crate(folder).with_config(config).generate();
    let mut made = Vec::new();
    bindings.expect("the sources can be read").write(&mut made);
    let header = Path::new("include/clamber/clamber.h");
    if std::env::var_os("CLAMBER_BLESS").is_some() {
        std::fs::write(header, &made).expect("the header can be written");
    }
    let committed = std::fs::read(header).unwrap_or_default();
    assert!(
        committed == made,
        "include/clamber/clamber.h is not current: CLAMBER_BLESS=1 cargo build -p clamber-c"
    );
}
