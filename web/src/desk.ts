// For every page; each part does nothing where its elements are missing. Pages work without any of it.

import { countGrids } from "./desk/counts";
import { filters } from "./desk/filter";
import { jobPages } from "./desk/job";
import { solveForms } from "./desk/solve";
import { sortableTables } from "./desk/sort";
import { themeSwitches } from "./desk/theme";
import { toasts } from "./desk/toast";
import { later } from "./later";

themeSwitches();
sortableTables();
filters();
toasts();
solveForms();
jobPages();
countGrids();
document.documentElement.dataset["scripted"] = "";
void later();
