#!/usr/bin/python3
"""Python's C loader (PyYAML) and its JSON Schema library, over the same files and the same schemas.

    peer.py CORPUS SCHEMAS [check|read]

Scalars stay text and the schema says what is a number, as the corpus is meant; that is faster for the loader than to
guess their types. Prints how many files were read and how many hold.
"""
import json
import pathlib
import sys

import jsonschema
import yaml


class TextLoader(yaml.CSafeLoader):
    yaml_implicit_resolvers = {}


def is_number(_, value):
    try:
        float(value)
    except (TypeError, ValueError):
        return False
    return isinstance(value, str)


def bound(worse):
    def check(validator, limit, value, _):
        if validator.is_type(value, "number") and worse(float(value), limit):
            yield jsonschema.ValidationError(f"{value} is out of bounds")

    return check


types = jsonschema.Draft7Validator.TYPE_CHECKER.redefine_many(
    {
        "number": is_number,
        "integer": lambda _, value: isinstance(value, str) and value.lstrip("-").isdigit(),
        "boolean": lambda _, value: value in ("true", "false"),
    }
)
Validator = jsonschema.validators.extend(
    jsonschema.Draft7Validator,
    {"minimum": bound(lambda value, limit: value < limit), "maximum": bound(lambda value, limit: value > limit)},
    type_checker=types,
)


def kind_of(parts):
    if parts[0] == "housings":
        return "housings"
    if len(parts) == 4:
        return {"looms": "loom", "components": "component", "changes": "changes"}[parts[2]]
    return parts[-1].removesuffix(".yaml")


def main():
    corpus, schema_folder = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    check = len(sys.argv) < 4 or sys.argv[3] == "check"
    schemas = {path.name: json.loads(path.read_text()) for path in schema_folder.glob("*.schema.json")}
    validators = {
        name.removesuffix(".schema.json"): Validator(
            schema, resolver=jsonschema.RefResolver(name, schema, store=dict(schemas)))
        for name, schema in schemas.items()
    }
    files = valid = 0
    for path in sorted(corpus.rglob("*.yaml")):
        tree = yaml.load(path.read_bytes(), Loader=TextLoader)
        files += 1
        if check and validators[kind_of(path.relative_to(corpus).parts)].is_valid(tree):
            valid += 1
    print(f"{files} files, {valid} valid")


main()
