#!/usr/bin/env python3
"""Is a folder an RO-Crate that keeps to the Process Run Crate profile? Offline, from the Python standard library
alone. The rules are the MUSTs (and, where it says so, SHOULDs) of RO-Crate Metadata Specification 1.1 and of the
Process Run Crate profile 0.5, both recalled, not looked up. `faults(folder)` is a list of sentences.

    crate.py FOLDER..."""
import json
import pathlib
import re
import sys
import urllib.parse

CRATE, PROFILE = "https://w3id.org/ro/crate/1.1", "https://w3id.org/ro/wfrun/process/"
APPLICATIONS = {"SoftwareApplication", "SoftwareSourceCode", "ComputationalWorkflow"}
ACTIONS = {"CreateAction", "ActivateAction", "UpdateAction"}


def listed(value):
    return value if isinstance(value, list) else [] if value is None else [value]


def ids(value):
    return [v.get("@id") if isinstance(v, dict) else v for v in listed(value)]


def types(entity):
    return set(listed(entity.get("@type")))


def is_absolute(uri):
    return re.match(r"[A-Za-z][A-Za-z0-9+.-]*:", uri) is not None


def flattened(graph):
    """JSON-LD flattened: every entity has @id and @type, stands once, and nests nothing but references."""
    wrong, by_id = [], {}
    for entity in graph:
        if not isinstance(entity.get("@id"), str) or not types(entity):
            wrong.append(f"an entity without @id or @type: {str(entity)[:60]}")
            continue
        if entity["@id"] in by_id:
            wrong.append(f"{entity['@id']} stands twice")
        by_id[entity["@id"]] = entity
        for key, value in entity.items():
            for item in listed(value):
                if isinstance(item, dict) and set(item) - {"@id", "@value", "@type", "@language"}:
                    wrong.append(f"{entity['@id']}: {key} nests an entity")
    return wrong, by_id


def head(by_id):
    """The metadata file descriptor: CreativeWork, about the root, conformsTo the version."""
    descriptor = by_id.get("ro-crate-metadata.json")
    if descriptor is None:
        return ["no metadata file descriptor"]
    wrong = []
    if types(descriptor) != {"CreativeWork"}:
        wrong.append("the metadata file descriptor is no CreativeWork")
    if ids(descriptor.get("about")) != ["./"]:
        wrong.append("the metadata file descriptor is not about ./")
    if CRATE not in ids(descriptor.get("conformsTo")):
        wrong.append(f"the metadata file descriptor does not conform to {CRATE}")
    return wrong


def root_of(by_id):
    root, wrong = by_id.get("./"), []
    if root is None or "Dataset" not in types(root):
        return ["no root data entity of type Dataset"]
    for key in ("name", "description", "datePublished", "license"):
        if not root.get(key):
            wrong.append(f"the root has no {key}")
    if not re.match(r"\d{4}-\d\d-\d\d", str(root.get("datePublished"))):
        wrong.append("datePublished is no ISO 8601 date of a day or finer")
    profiles = [i for i in ids(root.get("conformsTo")) if str(i).startswith(PROFILE)]
    if not profiles:
        wrong.append("the root does not conform to a version of the Process Run Crate profile")
    wrong += [f"{p} is not in the crate as a CreativeWork" for p in profiles
              if "CreativeWork" not in types(by_id.get(p, {}))]
    return wrong


def data_entities(folder, by_id):
    """Files and folders are reached from the root by hasPart; those of the crate are there."""
    wrong, reached, queue = [], set(), ["./"]
    while queue:
        here = queue.pop()
        for part in ids(by_id.get(here, {}).get("hasPart")):
            if part not in by_id:
                wrong.append(f"hasPart names {part}, which is not in the graph")
            elif part not in reached:
                reached.add(part)
                queue.append(part)
    for name, entity in by_id.items():
        if not types(entity) & {"File", "Dataset"} or name == "./":
            continue
        if name not in reached:
            wrong.append(f"{name} is no part of the root")
        if "File" in types(entity) and not entity.get("name"):
            wrong.append(f"{name} has no name (a SHOULD)")
        if is_absolute(name):
            continue
        if name.startswith(("/", "../")) or re.search(r"[^A-Za-z0-9\-._~/%!$&'()*+,;=:@]|%(?![0-9A-Fa-f]{2})", name):
            wrong.append(f"{name} is no URI path below the root")
        elif not (folder / urllib.parse.unquote(name)).exists():
            wrong.append(f"{name} is not there")
    return wrong


def actions(by_id):
    wrong, found = [], [e for e in by_id.values() if types(e) & ACTIONS]
    if not found:
        wrong.append("no action")
    for action in found:
        name = action["@id"]
        tools = ids(action.get("instrument"))
        if not tools:
            wrong.append(f"{name} has no instrument")
        for tool in tools:
            if not types(by_id.get(tool, {})) & APPLICATIONS:
                wrong.append(f"{name}: the instrument {tool} is no application in the crate")
            elif not by_id[tool].get("name"):
                wrong.append(f"{tool} has no name (a SHOULD)")
            elif not by_id[tool].get("softwareVersion") and not by_id[tool].get("version"):
                wrong.append(f"{tool} has no version (a SHOULD)")
        for key in ("object", "result", "agent"):
            wrong += [f"{name}: {key} names {i}, which is not in the graph" for i in ids(action.get(key)) if i not in by_id]
        for key in ("object", "result", "name", "description"):
            if not action.get(key):
                wrong.append(f"{name} has no {key} (a SHOULD)")
        if "CreateAction" in types(action) and set(ids(action.get("object"))) & set(ids(action.get("result"))):
            wrong.append(f"{name}: a result was there before")
        if name not in ids(by_id.get("./", {}).get("mentions")):
            wrong.append(f"the root does not mention {name} (a SHOULD)")
        status = action.get("actionStatus")
        if status and not ids(status)[0].startswith("http://schema.org/"):
            wrong.append(f"{name}: an action status that is not schema.org's")
    return wrong


def faults(folder):
    folder = pathlib.Path(folder)
    try:
        crate = json.loads((folder / "ro-crate-metadata.json").read_text(encoding="utf-8"))
    except (OSError, ValueError) as why:
        return [f"no metadata that can be read: {why}"]
    context = [c for c in listed(crate.get("@context")) if isinstance(c, str)]
    wrong = [] if f"{CRATE}/context" in context else [f"@context does not name {CRATE}/context"]
    if not isinstance(crate.get("@graph"), list):
        return wrong + ["no @graph"]
    more, by_id = flattened(crate["@graph"])
    return wrong + more + head(by_id) + root_of(by_id) + data_entities(folder, by_id) + actions(by_id)


if __name__ == "__main__":
    all_faults = [f"{folder}: {fault}" for folder in sys.argv[1:] for fault in faults(folder)]
    print("\n".join(all_faults) or "valid")
    sys.exit(bool(all_faults))
