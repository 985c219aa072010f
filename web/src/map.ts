// Loaded only by pages with a map.

import { CrownMap } from "./map/element";

customElements.define("crown-map", CrownMap);
