"""Holds a SARIF file against the object model that Debian's python3-sarif-python-om generates from the published JSON
Schema of SARIF 2.1.0: every property is one that the schema knows, every required one is there, and values that the
schema lists (checked here: level, columnKind, version) are among them.

usage: sarif_check.py FILE; exit status 0 good, 1 not, 77 the package that it needs is missing
"""
import json
import sys

try:
    import attr
    import sarif_om
except ImportError:
    print("python3-sarif-python-om is not installed")
    sys.exit(77)

# The object model gives names and requirements, not the type of each property's value: which class stands where.
CLASSES = {
    "SarifLog": {"runs": "Run"},
    "Run": {"tool": "Tool", "results": "Result"},
    "Tool": {"driver": "ToolComponent"},
    "ToolComponent": {"rules": "ReportingDescriptor"},
    "ReportingDescriptor": {
        "shortDescription": "MultiformatMessageString",
        "fullDescription": "MultiformatMessageString",
        "help": "MultiformatMessageString",
        "defaultConfiguration": "ReportingConfiguration",
    },
    "Result": {"message": "Message", "locations": "Location", "relatedLocations": "Location", "fixes": "Fix"},
    "Location": {
        "physicalLocation": "PhysicalLocation",
        "logicalLocations": "LogicalLocation",
        "message": "Message",
    },
    "PhysicalLocation": {"artifactLocation": "ArtifactLocation", "region": "Region"},
    "Fix": {"description": "Message", "artifactChanges": "ArtifactChange"},
    "ArtifactChange": {"artifactLocation": "ArtifactLocation", "replacements": "Replacement"},
    "Replacement": {"deletedRegion": "Region", "insertedContent": "ArtifactContent"},
}
# From the schema's enumerations, as the standard gives them in 3.27.10, 3.14.17 and 3.13.2.
VALUES = {
    "level": {"none", "note", "warning", "error"},
    "columnKind": {"utf16CodeUnits", "unicodeCodePoints"},
    "version@SarifLog": {"2.1.0"},
}

faults = []
judged = 0


def check(value, name, path):
    global judged
    judged += 1
    if not isinstance(value, dict):
        faults.append(f"{path}: an object is wanted")
        return
    known = {a.metadata["schema_property_name"]: a for a in attr.fields(getattr(sarif_om, name))}
    for key in value:
        if key not in known:
            faults.append(f"{path}: {name} has no property {key}")
    for key, field in known.items():
        if field.default is attr.NOTHING and key not in value:
            faults.append(f"{path}: {name} lacks {key}")
    for key, inner in value.items():
        allowed = VALUES.get(f"{key}@{name}", VALUES.get(key))
        if allowed is not None and inner not in allowed:
            faults.append(f"{path}/{key}: {inner} is not a value of it")
        inner_class = CLASSES.get(name, {}).get(key)
        if inner_class is None:
            if key != "properties" and (isinstance(inner, dict) or (inner and isinstance(inner, list) and isinstance(inner[0], dict))):
                faults.append(f"{path}/{key}: not judged; add it to CLASSES")
        elif isinstance(inner, list):
            for index, item in enumerate(inner):
                check(item, inner_class, f"{path}/{key}/{index}")
        else:
            check(inner, inner_class, f"{path}/{key}")


with open(sys.argv[1], encoding="utf-8") as file:
    check(json.load(file), "SarifLog", "")
for fault in faults:
    print(fault)
print(f"{judged} objects judged, {len(faults)} faults")
sys.exit(1 if faults or judged == 0 else 0)
