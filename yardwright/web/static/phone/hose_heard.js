// What sensors at the boat say, while there is signal: a temperature of a point that is watched is read by itself.

const EVERY_MS = 2000;
const OLD_S = 20; // what is older says nothing of now

/** A sensor's name as somebody would type it. @param {string} point */
const named = (point) => point.replaceAll("_", " ");

/** @param {string} tag @param {string[]} points
 * @param {(point: string, tempC: number, ageS: number) => void} read
 * @param {(words: string) => void} say
 * @returns {() => void} ends it */
export function hear(tag, points, read, say) {
  /** @type {Map<string, string>} */
  const last = new Map();
  let asks = false;
  let heard = false;
  const ask = async () => {
    if (asks) return;
    asks = true;
    try {
      const answer = await fetch(`/boats/${tag}/hose-run/heard/`, { signal: AbortSignal.timeout(5000) });
      if (!answer.ok || answer.redirected) throw new Error("no answer");
      /** @type {Record<string, {temp_c: number, age_s: number, at: string}>} */
      const told = await answer.json();
      for (const [heardAt, { temp_c: tempC, age_s: ageS, at }] of Object.entries(told)) {
        const point = named(heardAt);
        if (!points.includes(point) || ageS > OLD_S || last.get(point) === at) continue;
        last.set(point, at);
        read(point, tempC, ageS);
      }
      const fresh = Object.keys(told).filter((point) => told[point].age_s <= OLD_S);
      const live = points.filter((point) => fresh.map(named).includes(point));
      if (live.length) heard = true;
      const others = fresh.filter((point) => !points.includes(named(point)));
      if (live.length || others.length) say(`By sensor: ${live.join(", ") || "nothing"}. ${others.length ? `Not watched: ${others.join(", ")}.` : ""}`);
      else if (heard) say("The sensor is silent: read it yourself and type it.");
    } catch {
      if (heard) say("No signal to the sensor: read it yourself and type it.");
    } finally {
      asks = false;
    }
  };
  const asking = setInterval(ask, EVERY_MS);
  ask();
  return () => clearInterval(asking);
}
