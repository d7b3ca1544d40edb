//! Writes the made-up survey `fixtures/surveys/lane.asc` to stdout: `cargo run -p clamber-ground --example lane`.

#[path = "../tests/made/mod.rs"]
mod made;

fn main() {
    print!("{}", made::lane::file());
}
