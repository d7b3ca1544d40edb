//! The committed schemas are those of the types.

use crate::support::{compare, here};
use clamber_core::unstable::scene::kinds_schema;
use clamber_core::{plan_schema, scenario_schema};

#[test]
fn the_committed_schemas_are_up_to_date() {
    for (name, schema) in
        [("scenario", scenario_schema()), ("plan", plan_schema()), ("kinds", kinds_schema())]
    {
        let text = serde_json::to_string_pretty(&schema).expect("JSON") + "\n";
        compare(&here(&format!("schema/{name}.schema.json")), &text)
            .unwrap_or_else(|difference| panic!("{difference}"));
    }
}

#[test]
fn every_object_is_closed_and_every_field_told() {
    fn walk(schema: &serde_json::Value, at: &str) {
        if schema["type"] == "object" {
            let closed =
                schema["additionalProperties"] == false || schema["additionalProperties"].is_object();
            assert!(closed, "{at} takes unknown fields");
            walk(&schema["additionalProperties"], &format!("{at}.*"));
        }
        if schema["type"] == "array" {
            walk(&schema["items"], &format!("{at}[]"));
        }
        for (name, inner) in schema["properties"].as_object().into_iter().flatten() {
            let at = format!("{at}.{name}");
            assert!(inner["description"].is_string(), "{at} has no description");
            let kind = inner["type"].as_str();
            assert!(
                ["object", "array", "number", "integer", "string", "boolean"].map(Some).contains(&kind),
                "{at}: {inner}"
            );
            walk(inner, &at);
        }
    }
    walk(&scenario_schema(), "scenario");
    walk(&plan_schema(), "plan");
    walk(&kinds_schema(), "kinds");
}

/// Model page, section 7: what the example marks as optional, and nothing else, may be left out.
#[test]
fn what_is_required_is_what_the_page_says() {
    let schema = scenario_schema();
    let required = |path: &str| -> Vec<String> {
        let names = schema.pointer(path).unwrap_or_else(|| panic!("{path}"))["required"].as_array().cloned();
        let mut names: Vec<String> =
            names.unwrap_or_default().iter().map(|name| name.as_str().expect("a name").to_owned()).collect();
        names.sort();
        names
    };
    assert_eq!(required(""), ["deck", "format", "kind", "module", "name"]);
    assert_eq!(required("/properties/site"), [""; 0]);
    assert_eq!(required("/properties/limits"), [""; 0]);
    assert_eq!(required("/properties/deck/items"), ["friction", "name", "outline_m"]);
    // Unless the kind is taken from a file.
    assert_eq!(required("/properties/kind/additionalProperties/else").len(), 27);
    assert_eq!(required("/properties/module/items"), ["kind", "name", "on"]);
    assert_eq!(required("/properties/goal/properties/slot/items"), ["name", "on"]);
    assert_eq!(required("/properties/goal/properties/gather"), ["deck"]);
}
