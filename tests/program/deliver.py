#!/usr/bin/env python3
"""`windassay deliver`: 40 planted secrets, and what a copy still proves.

    deliver.py ROOT BUILD

1. A campaign holds 40 secrets: the customer, other customers, other units, people, notes, paths, titles, in the
   campaign file, a shared script, the logbook, a table, an earlier dossier, notes and texts of a check. Each stands
   somewhere in the dossier; none stands anywhere in the copy (the spreadsheet is unpacked), also not escaped.
2. With coreutils and ssh-keygen alone: what is untouched verifies against the original's manifest and signature.
3. Salts are the owner's alone, and with them a withheld value is proven, by hashlib.
4. `audit` says "identical except withheld: N", and names what was tampered with after the copy was made.
5. The mast's files are cut to the period where the data are in the dossier.
6. What is refused."""
import hashlib
import json
import os
import pathlib
import re
import shutil
import stat
import subprocess
import sys
import tempfile
import zipfile

WORDS = ("Alder Birch Cedar Dogwood Elm Fir Gorse Hazel Ivy Juniper Kapok Larch Maple Nutmeg Oak Pine Quince Rowan "
         "Spruce Teak Ulmus Viburnum Willow Xylia Yew Zelkova Acacia Banyan Cypress Douglasia Ebony Ficus Ginkgo "
         "Hornbeam Ilex Jarrah Karri Linden Myrtle Neem").split()
SECRET = [f"{word}-{i:02d} \"quoted\", & <odd>" if i % 10 == 9 else f"{word}-{i:02d}" for i, word in enumerate(WORDS)]
FILE = [f"{word}-{i:02d}" for i, word in enumerate(WORDS)]  # where it must be a plain name

SHARED = """-- For {0} and for {1}; {2} wants it by May. Units {3}, {4} and {5} stand there, too.
return {{ note = "{6}" }}
"""
CHECK = """local check = {{ title = "{0}", practice = "a test", parameters = {{}} }}
function check.run(campaign, p, report)
  local r = campaign.intervals
  local cup = r.reference:find{{ quantity = "wind_speed", use = "primary" }}.mean
  r:need(cup)
  report:note({1})
  report:note("as {2} said")
  report:value("told by", 1, {{ unit = "1", text = {3} }})
  report:table("remarks", {{ columns = {{ {{ name = "who", values = {{ {4}, "nobody" }} }} }} }})
  print("{5}")
  r:kept(cup)
end
return check
"""


def lua(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def run(*words, code=0, cwd=None):
    done = subprocess.run([str(w) for w in words], capture_output=True, cwd=cwd, check=False)
    assert done.returncode == code, (words, done.returncode, done.stderr)
    return done.stdout.decode()


def campaign(root, build, work):
    """The campaign with everything planted; gives its dossier."""
    folder = work / "root/unit"
    shutil.copytree(root / "demo/small", folder)
    (work / "root/shared").mkdir()
    (folder / "checks").mkdir()
    (work / "root/fleet.lua").write_text("return {}\n")
    (work / "root/shared/site.lua").write_text(SHARED.format(*SECRET[:7]))
    (folder / "checks/told.lua").write_text(CHECK.format(
        SECRET[7], lua(SECRET[19]), SECRET[8], lua(SECRET[29]), lua(SECRET[39]), SECRET[10]))
    text = (folder / "campaign.lua").read_text()
    # An earlier dossier of another unit, for another customer.
    earlier = text.replace("NL-0420", SECRET[11]).replace("C-031 (invented)", SECRET[12]).replace("R-0420", SECRET[13])
    earlier = earlier.replace("eight days", SECRET[14])
    (folder / "earlier.lua").write_text(earlier)
    before = folder / f"{FILE[15]}.dossier"
    run(build / "windassay", "run", folder / "earlier.lua", "--into", before)
    digest = hashlib.sha256((before / "data/result.json").read_bytes()).hexdigest()
    # The files' names, the logbook, the reasons, the people, the customer, the site.
    for name in ("unit", "mast"):
        number = 16 if name == "unit" else 17
        (folder / f"{name}.csv").rename(folder / f"{FILE[number]}.csv")
        text = text.replace(f'"{name}.csv"', f'"{FILE[number]}.csv"')
    (folder / "sheet.csv").write_text(f"who,n\n{SECRET[18]},1\n")
    text = text.replace("local decided", 'local site = require "shared.site"\nlocal decided')
    text = text.replace('"C-031 (invented)"', lua(SECRET[20])).replace('measured_by = "ab"', f"measured_by = {lua(SECRET[21])}")
    text = text.replace('approved_by = "cd"', f"approved_by = {lua(SECRET[22])}")
    text = text.replace("NL-0420 beside", f"{SECRET[23]} beside").replace('serial = "NL-0420"', f"serial = {lua(SECRET[23])}")
    text = text.replace("eight days", SECRET[24]).replace('"field station 2 (invented)"', lua(SECRET[25]))
    text = text.replace('firmware = "4.2.0"', f'firmware = "4.2.0", position = {{ east = 0, north = 0, note = {lua(SECRET[26])} }}')
    extended = '{ { to = "2026-03-10T00:00:00Z", reason = ' + lua(SECRET[27]) + " } }"
    text = text.replace('interval = "10 min" },\n  roles', 'interval = "10 min", planned_to = "2026-03-09T00:00:00Z",\n'
                        f"    extended = {extended} }},\n  roles")
    text = text.replace("  disturbed = ", f"""  logbook = {{ {{ from = "2026-03-05T08:10:00Z", to = "2026-03-05T09:00:00Z", by = {lua(SECRET[28])},
    text = {lua(SECRET[30] + " wiped it for " + SECRET[31])}, exclude = {{ "unit" }} }} }},
  tables = {{ bench = "sheet.csv" }},
  uses = {{ {{ dossier = "{FILE[15]}.dossier", sha256 = "{digest}", as = "before" }} }},
  disturbed = """).replace("wake of turbine T2", SECRET[32])
    text = text.replace('{ "clock" },', f'{{ "clock" }}, {{ "told" }}, {{ "site" }},  -- {SECRET[33]}, see {SECRET[34]}')
    text = text.replace("return {", f"-- {SECRET[35]}: {SECRET[36]} pays; {SECRET[37]} {SECRET[38]} {SECRET[9]}\nreturn {{", 1)
    (folder / "campaign.lua").write_text(text)
    run(build / "windassay", "run", folder / "campaign.lua", "--into", work / "dossier")
    return work / "dossier"


def pieces(folder):
    """Every file, by its path; spreadsheets unpacked; and the names themselves."""
    for path in sorted(folder.rglob("*")):
        yield str(path), str(path.relative_to(folder)).encode()
        if path.is_file() and path.suffix == ".xlsx":
            with zipfile.ZipFile(path) as packed:
                for name in packed.namelist():
                    yield f"{path}:{name}", packed.read(name)
        elif path.is_file():
            yield str(path), path.read_bytes()


def forms(secret):
    """As it is, and as CSV, JSON, HTML and XML write it."""
    marked = secret.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return {f.encode() for f in (secret, secret.replace('"', '""'), json.dumps(secret)[1:-1], marked,
                                 marked.replace('"', "&quot;"), marked.replace('"', "&#34;"))}


def where(folder, secret):
    return [name for name, content in pieces(folder) if any(form in content for form in forms(secret))]


ALL = "inputs,site,customer,people,notes,uses,given,machine,title,/campaign/lidar/serial,/campaign/report/laboratory," \
      "/checks/*/values/*/text,/checks/1/tables/0/rows/0/0,/checks/1/title"


def secrets(build, work, dossier):
    run("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", work / "key")
    (work / "allowed").write_text("lab@example.org " + (work / "key.pub").read_text())
    run("ssh-keygen", "-q", "-Y", "sign", "-n", "windassay", "-f", work / "key", dossier / "tagmanifest-sha256.txt")
    for secret in SECRET:
        assert where(dossier, secret), f"{secret} was not planted"
    # The check's own text of its title stands in a parameter-free entry: found by its name.
    run(build / "windassay", "deliver", dossier, "--withhold", ALL, "--into", work / "copy")
    for secret in SECRET:
        assert not where(work / "copy", secret), (secret, where(work / "copy", secret))
    found = sum(len(where(dossier, secret)) for secret in SECRET)
    print(f"{len(SECRET)} secrets, {found} places in the dossier, none in the copy")
    return work / "copy"


def proofs(work, dossier, copy):
    run("sha256sum", "-c", "--strict", "--quiet", "manifest-sha256.txt", cwd=copy)
    run("sha256sum", "-c", "--strict", "--quiet", "tagmanifest-sha256.txt", cwd=copy)
    # What is untouched, by the original's manifest, which is the one that was signed.
    said = subprocess.run(["sha256sum", "-c", "--ignore-missing", "data/original/manifest-sha256.txt"], cwd=copy,
                          capture_output=True, text=True, check=False).stdout.splitlines()
    listed = json.loads((copy / "data/withheld.json").read_text())
    altered = {"data/" + f["path"] for f in listed["files"] if f["what"] in ("altered", "made again")}
    assert {line.split(":")[0] for line in said if not line.endswith(": OK")} == altered, said
    untouched = [line for line in said if line.endswith(": OK")]
    assert len(untouched) > 20 and any("intervals.csv" in line for line in untouched)
    manifest = (copy / "data/original/manifest-sha256.txt").read_bytes()
    assert hashlib.sha256(manifest).hexdigest() in (copy / "data/original/tagmanifest-sha256.txt").read_text()
    with (copy / "data/original/tagmanifest-sha256.txt").open("rb") as file:
        subprocess.run(["ssh-keygen", "-Y", "verify", "-n", "windassay", "-f", work / "allowed", "-I", "lab@example.org",
                        "-s", copy / "data/original/tagmanifest-sha256.txt.sig"], stdin=file, check=True,
                       stdout=subprocess.DEVNULL)
    # Withheld files by the digest of the original.
    for file in listed["files"]:
        if (dossier / "data" / file["path"]).exists():
            digest = hashlib.sha256((dossier / "data" / file["path"]).read_bytes()).hexdigest()
            assert digest == file["sha256"], file
    # Salts: the owner's, and enough to prove a value.
    salts = work / "copy.salts"
    assert stat.S_IMODE(salts.stat().st_mode) == 0o600 and not where(copy, ".salts")
    digests, proven = {f["path"]: f["digest"] for f in listed["fields"]}, 0
    for entry in json.loads(salts.read_text()):
        value = json.dumps(entry["value"], ensure_ascii=False, separators=(",", ":"))
        if not re.search(r"\d\.\d|e[-+]\d", value):  # Python spells some numbers otherwise
            digest = hashlib.sha256(f"{entry['salt']}\n{value}\n".encode()).hexdigest()
            assert digests[entry["path"]] == "withheld:" + digest, entry
            proven += 1
        assert entry["salt"] not in (copy / "data/withheld.json").read_text()
    assert proven > 15
    print(f"{len(untouched)} files verify against the signed manifest, {proven} values are proven by their salts")


def rehash(bag):
    """Makes the bag's own manifests fit again, as whoever tampers would."""
    lines = [f"{hashlib.sha256((bag / line[66:]).read_bytes()).hexdigest()}  {line[66:]}\n"
             for line in (bag / "manifest-sha256.txt").read_text().splitlines()]
    (bag / "manifest-sha256.txt").write_text("".join(lines))
    sizes = [path.stat().st_size for path in (bag / "data").rglob("*") if path.is_file()]
    info = re.sub(r"Payload-Oxum: .*", f"Payload-Oxum: {sum(sizes)}.{len(sizes)}", (bag / "bag-info.txt").read_text())
    (bag / "bag-info.txt").write_text(info)
    tags = [f"{hashlib.sha256((bag / line[66:]).read_bytes()).hexdigest()}  {line[66:]}\n"
            for line in (bag / "tagmanifest-sha256.txt").read_text().splitlines()]
    (bag / "tagmanifest-sha256.txt").write_text("".join(tags))


TAMPER = [  # a file of the copy, what is put in place of what, what is said
    ("data/intervals.csv", ",600,", ",601,", "intervals.csv: it is neither as it was nor listed"),
    ("data/tables/clock.values.csv", "records used,1", "records used,2", "tables/clock.values.csv: it is neither"),
    ("data/result.json", '"records used", "value": 1', '"records used", "value": 2', "it is not what the record says"),
    ("data/result.json", '"withheld:', '"withheld:00', None),
    ("data/report.html", "</h1>", "!</h1>", "report.html: it does not follow from the record"),
    ("data/original/manifest-sha256.txt", "0", "1", "does not name this manifest"),
    ("data/original/bagit.txt", None, "data/extra.csv", "extra.csv: the original has no such file"),
    ("data/withheld.json", '"what": "altered"', '"what": "withheld"', "neither as it was nor listed"),
    ("data/withheld.json", '"digest": "withheld:', '"digest": "withheld:0', "does not stand so"),
]


def audits(build, work, copy):
    said = run(build / "windassay", "audit", copy, "--allowed-signers", work / "allowed")
    listed = json.loads((copy / "data/withheld.json").read_text())
    n = len(listed["fields"]) + sum(f["what"] == "withheld" and not f["path"].startswith("original/") for f in listed["files"])
    assert said.endswith(f"identical except withheld: {n}\n"), said
    assert re.search(r"signature +holds", said), said
    told = json.loads(run(build / "windassay", "audit", copy, "--json"))
    assert told["outcome"] == "identical except withheld" and told["withheld"] == n
    for number, (path, old, new, text) in enumerate(TAMPER):
        bad = work / f"bad{number}"
        shutil.copytree(copy, bad)
        if old is None:
            (bad / new).write_text("a,b\n", encoding="utf-8")
            with (bad / "manifest-sha256.txt").open("a", encoding="utf-8") as file:
                file.write(f"{'0' * 64}  {new}\n")
            lines = sorted((bad / "manifest-sha256.txt").read_text().splitlines(), key=lambda line: line[66:].encode())
            (bad / "manifest-sha256.txt").write_text("\n".join(lines) + "\n")
        else:
            content = (bad / path).read_text(encoding="utf-8")
            assert old in content, (path, old)
            (bad / path).write_text(content.replace(old, new, 1), encoding="utf-8")
        rehash(bad)
        said = run(build / "windassay", "audit", bad, code=1)
        assert said.endswith("differs\n") and (text is None or text in said), (path, said)
    print(f"audit: identical except withheld: {n}; {len(TAMPER)} tamperings of the copy found")


def cuts(root, build, work):
    """Data in the dossier: rows of the mast outside of the period are gone, the unit's are not."""
    folder = work / "cut"
    shutil.copytree(root / "demo/small", folder)
    text = (folder / "campaign.lua").read_text().replace("2026-03-02T00:00:00Z", "2026-03-03T00:00:00Z")
    (folder / "campaign.lua").write_text(text.replace("2026-03-10T00:00:00Z", "2026-03-09T00:00:00Z"))
    run(build / "windassay", "run", folder / "campaign.lua", "--with-data", "--into", work / "whole")
    run(build / "windassay", "deliver", work / "whole", "--withhold", "customer", "--into", work / "part")
    inputs = "data/inputs/campaign/"
    mast = (folder / "mast.csv").read_text().splitlines(keepends=True)
    # ends in UTC+01:00: from 2026-03-03T00:00Z to 2026-03-09T00:00Z are the rows that end from 01:10 on the 3rd to 01:00 on the 9th
    first = next(i for i, line in enumerate(mast) if line.startswith("03.03.2026 01:10"))
    last = next(i for i, line in enumerate(mast) if line.startswith("09.03.2026 01:00"))
    assert (work / "part" / inputs / "mast.csv").read_text() == "".join(mast[:2] + mast[first:last + 1])
    assert (work / "part" / inputs / "unit.csv").read_bytes() == (folder / "unit.csv").read_bytes()
    said = run(build / "windassay", "audit", work / "part")
    assert "identical except withheld" in said, said
    print(f"the mast's {len(mast) - 2} rows are cut to {last + 1 - first}")


def refusals(build, work, dossier, copy):
    def refused(code, text, *words):
        done = subprocess.run([build / "windassay", "deliver", *words], capture_output=True, text=True, check=False)
        assert done.returncode == code and text in done.stderr, (words, done.returncode, done.stderr)
    refused(64, "did you mean 'customer'?", dossier, "--withhold", "custmer", "--into", work / "x")
    refused(65, "the record has nothing at /campaign/nothing", dossier, "--withhold", "/campaign/nothing", "--into", work / "x")
    refused(64, "salts of another copy", dossier, "--withhold", "customer", "--into", copy)
    refused(64, "this is such a copy itself", copy, "--withhold", "customer", "--into", work / "x")
    refused(64, "--withhold and --into are needed", dossier)
    refused(65, "names of files in it are to be withheld", work / "whole", "--withhold", "inputs", "--into", work / "x")
    refused(64, "choose another folder", dossier, "--withhold", "customer", "--into", work / "whole")
    assert not (work / "x").exists() and not (work / "x.salts").exists()


def main(root, build):
    os.environ["LC_ALL"] = "C.UTF-8"
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        work = pathlib.Path(temporary)
        dossier = campaign(root, build, work)
        copy = secrets(build, work, dossier)
        proofs(work, dossier, copy)
        audits(build, work, copy)
        cuts(root, build, work)
        refusals(build, work, dossier, copy)


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve())
