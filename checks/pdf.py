"""The season plan on paper through other people's PDF tools."""

import re

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
