//! JSON Schema of rule files and job files, for editors that complete and check
//! as one types.
//!
//! Made from the structs that read the files, so that it says what they do.

use crate::job::file::JobFile;
use crate::rules::file::RuleFile;
use schemars::Schema;
use schemars::generate::SchemaSettings;

/// The schema of a rule file. An overlay that changes single values or takes
/// some away leaves out keys that it requires: there an editor asks for more than
/// the program does.
pub fn rule() -> String {
    text(
        SchemaSettings::draft2020_12()
            .into_generator()
            .into_root_schema_for::<RuleFile>(),
    )
}

/// The schema of a job file.
pub fn job() -> String {
    text(
        SchemaSettings::draft2020_12()
            .into_generator()
            .into_root_schema_for::<JobFile>(),
    )
}

fn text(schema: Schema) -> String {
    format!("{:#}\n", schema.to_value())
}
