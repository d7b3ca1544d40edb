//! Serde for trees: types are read from a checked tree, and a tree is written unchanged.

use super::tree::{TreeNode, Value};
use serde::de::value::{Error, MapDeserializer, SeqDeserializer, StrDeserializer};
use serde::de::{Deserializer, IntoDeserializer, Visitor};
use serde::{Serialize, Serializer, forward_to_deserialize_any};

impl<'de> Deserializer<'de> for &TreeNode {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.value {
            Value::Table(entries) => {
                let pairs = entries.iter().map(|entry| (entry.key.as_str(), &entry.node));
                visitor.visit_map(MapDeserializer::new(pairs))
            }
            Value::List(items) => visitor.visit_seq(SeqDeserializer::new(items.iter())),
            Value::Text(text) => visitor.visit_str(text),
            Value::Integer(whole) => match (u64::try_from(*whole), i64::try_from(*whole)) {
                (Ok(whole), _) => visitor.visit_u64(whole),
                (_, Ok(whole)) => visitor.visit_i64(whole),
                _ => visitor.visit_f64(*whole as f64),
            },
            Value::Float(number) => visitor.visit_f64(*number),
            Value::Flag(flag) => visitor.visit_bool(*flag),
            Value::Other(_) | Value::Unread => visitor.visit_unit(),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_some(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        let word: StrDeserializer<'_, Error> = self.text().unwrap_or_default().into_deserializer();
        word.deserialize_enum(name, variants, visitor)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf unit unit_struct
        newtype_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}

impl<'de> IntoDeserializer<'de, Error> for &TreeNode {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl Serialize for TreeNode {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.value {
            Value::Table(entries) => {
                serializer.collect_map(entries.iter().map(|entry| (&entry.key, &entry.node)))
            }
            Value::List(items) => serializer.collect_seq(items),
            Value::Text(text) => serializer.serialize_str(text),
            // Canonical JSON has only double-precision numbers.
            Value::Integer(whole) => serializer.serialize_f64(*whole as f64),
            Value::Float(number) => serializer.serialize_f64(*number),
            Value::Flag(flag) => serializer.serialize_bool(*flag),
            Value::Other(_) | Value::Unread => serializer.serialize_unit(),
        }
    }
}
