// Where the phone stands, if it may be asked.

export interface Here {
  lon: number;
  lat: number;
  /** Radius in which it surely is, metres. */
  within: number;
}

/** A place that is older than this is not where a visit was, ms. */
const FRESH = 60_000;
/** A place less sure than this says nothing of a tree, metres. */
const SURE = 60;

let last: { here: Here; time: number } | undefined;

/** Asks for the place from now on; `told` is called whenever it moves. */
export function follow(told: () => void): void {
  if (!("geolocation" in navigator)) return;
  navigator.geolocation.watchPosition(
    ({ coords, timestamp }) => {
      last = { here: { lon: coords.longitude, lat: coords.latitude, within: coords.accuracy }, time: timestamp };
      told();
    },
    () => {},
    { enableHighAccuracy: true, maximumAge: 10_000 },
  );
}

export function here(): Here | undefined {
  return last && Date.now() - last.time < FRESH && last.here.within <= SURE ? last.here : undefined;
}

/** Metres between two places of one city. */
export function metres(a: [number, number], b: [number, number]): number {
  const [east, north] = offset(a, b);
  return Math.hypot(east, north);
}

/** Metres east and north from one place to another. */
export function offset([lon, lat]: [number, number], to: [number, number]): [number, number] {
  const degree = 111_320;
  return [(to[0] - lon) * degree * Math.cos((lat * Math.PI) / 180), (to[1] - lat) * degree];
}

const WINDS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

/** "40 m north-east" from one place to another. */
export function way(from: [number, number], to: [number, number]): string {
  const [east, north] = offset(from, to);
  const far = Math.hypot(east, north);
  const turn = (Math.atan2(east, north) / (2 * Math.PI)) * WINDS.length;
  const wind = WINDS[(Math.round(turn) + WINDS.length) % WINDS.length] ?? "";
  return far < 8 ? "here" : `${far < 100 ? Math.round(far / 5) * 5 : Math.round(far / 10) * 10} m ${wind}`;
}
