// For every page; each part does nothing where its elements are missing. Pages work without any of it.

import { countGrids } from "./desk/counts";
import { filters } from "./desk/filter";
import { solveForms } from "./desk/solve";
import { sortableTables } from "./desk/sort";
import { themeChoices } from "./desk/theme";
import { toasts } from "./desk/toast";

themeChoices();
sortableTables();
filters();
toasts();
solveForms();
countGrids();
document.documentElement.dataset["scripted"] = "";
