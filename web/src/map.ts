import { Map, setWorkerUrl } from "maplibre-gl";

declare const MAP_WORKER: string;
setWorkerUrl(new URL(MAP_WORKER, import.meta.url).href);
export { Map };
