"""Validate outputs of the command against the schemas with a general validator (jsonschema, PyPI).

usage: validate_outputs.py FILE.json ...
The schema is chosen by each file's "schema" entry. Exit 1 when a file does not hold.
"""
import json
import pathlib
import sys

from jsonschema import Draft202012Validator

SCHEMAS = pathlib.Path(__file__).resolve().parents[2] / "crates/formats/schemas"


def main() -> int:
    validators = {}
    for path in sorted(SCHEMAS.glob("*.schema.json")):
        schema = json.loads(path.read_text())
        Draft202012Validator.check_schema(schema)
        name = schema["properties"].get("schema", {}).get("const")
        if name:
            validators[name] = Draft202012Validator(schema)
    bad = 0
    for name in sys.argv[1:]:
        value = json.loads(pathlib.Path(name).read_text())
        validator = validators[value["schema"]]
        errors = sorted(validator.iter_errors(value), key=lambda e: e.json_path)
        for e in errors[:10]:
            print(f"{name}: {e.json_path}: {e.message[:200]}")
        print(f"{name}: {value['schema']}: {len(errors)} fault(s)")
        bad += bool(errors)
    return 1 if bad or len(sys.argv) < 2 else 0


if __name__ == "__main__":
    sys.exit(main())
