"""The season plan on paper through other people's PDF tools."""

import re
import shutil

from tools import DAY, expect, run

DRAWS = ("--draws", "40")


def check_season_plan(product):
    folder = product.scratch / "papers"
    product.text("papers", product.pellwood(), *DAY, *DRAWS, "--out", folder)
    file = folder / "season-plan.pdf"
    run(["qpdf", "--check", file])
    told = dict(line.split(":", 1) for line in run(["pdfinfo", file]).splitlines() if ":" in line)
    told = {key: value.strip() for key, value in told.items()}
    expect(told.get("Tagged") == "yes", f"Tagged: {told.get('Tagged')}")
    expect("Pellwood" in told.get("Title", "") and "2027" in told["Title"], f"Title: {told.get('Title')}")
    expect(int(told["Pages"]) > 3, f"pages: {told['Pages']}")
    words = re.sub(r"\s+", " ", run(["pdftotext", "-layout", file, "-"]))
    plan = product.json("plan", product.pellwood(), *DAY, *DRAWS)
    for wanted in (plan["programme"], f"${plan['cost']:,.0f}", f"{plan['sprayed_acres']:,.0f}", "label"):
        expect(wanted in words, f'the pages do not say "{wanted}"')
    aerial = [b["id"] for b in plan["blocks"] if "aerial" in b["option"]]
    missing = [name for name in aerial if name not in words]
    expect(aerial and not missing, f"flown blocks that the pages do not name: {missing}")
    return (
        f"qpdf --check clean; pdfinfo: tagged, titled, {told['Pages']} pages; pdftotext finds the name, the cost and "
        f"acres that plan --json gives for the same seed, all {len(aerial)} flown blocks, and the label caution"
    )


# What each paper of the folder must say, beside the caution that belongs to its act.
PAPERS = {
    "season-dates.pdf": ("Season dates 2027", "aerial Btk", "White oak", "label"),
    "scraping-sheets.pdf": ("Scraping: crew sheets", "gloves", "From ground"),
    "band-sheets.pdf": ("Bands: crew sheets", "gloves", "full strip"),
    "ground-sheets.pdf": ("Ground sprays: crew sheets", "Crew 1, day 1", "label is the law", "to a full tank of"),
    "aerial-job.pdf": ("Aerial job 2027", "Spray block S1", "label is the law"),
    "survey-summary.pdf": ("Egg-mass survey: what was found", "Chance of more than", "nine times in ten"),
    "survey-sheets.pdf": ("Egg-mass survey: sheets", "gloves", "Stop, below: total at most", "Route 1"),
    "notice-en.pdf": ("Spraying against spongy moth 2027", "label is the law"),
    "notice-es.pdf": ("polilla esponjosa 2027", "La etiqueta del producto es la ley"),
    "notice-fr.pdf": ("Pulvérisation contre la spongieuse 2027", "étiquette du produit fait loi"),
}


def check_other_papers(product):
    """Every other paper of the season: sound, tagged, in its language, with its words."""
    folder = product.scratch / "all-papers"
    city = product.scratch / "to-count.gpkg"
    shutil.copy(product.pellwood(), city)
    product.text("design", city, "--plots", "30", "--add")
    product.text("papers", city, *DAY, *DRAWS, "--out", folder)
    found = {file.name for file in folder.glob("*.pdf")} - {"season-plan.pdf"}
    # Whether any block is banded or scraped is the plan's affair; all that is printed must be known here.
    expect(found <= set(PAPERS), f"papers without a check: {sorted(found - set(PAPERS))}")
    expect({"season-dates.pdf", "aerial-job.pdf", "notice-fr.pdf", "survey-sheets.pdf"} <= found, f"only {sorted(found)}")
    pages = 0
    for name in sorted(found):
        run(["qpdf", "--check", folder / name])
        told = run(["pdfinfo", folder / name])
        expect(re.search(r"Tagged:\s+yes", told), f"{name} is not tagged")
        pages += int(re.search(r"Pages:\s+(\d+)", told)[1])
        words = re.sub(r"\s+", " ", run(["pdftotext", "-layout", folder / name, "-"]))
        for wanted in PAPERS[name]:
            expect(wanted in words, f'{name} does not say "{wanted}"')
        expect("made up" in words, f"{name} does not say that its city is invented")
        lang = re.search(r"notice-(\w\w)", name)
        code = (lang[1] if lang else "en").encode()
        expect(b"/Lang(" + code in (folder / name).read_bytes().replace(b"/Lang (", b"/Lang("), f"{name}: language")
    return f"{len(found)} papers, {pages} pages: qpdf --check clean, tagged, language set, words and cautions found by pdftotext"
