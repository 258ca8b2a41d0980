// What a hose run does beside its words: it beeps and shakes, keeps the screen awake, and hears trouble.

/** @type {AudioContext | undefined} */
let sound;
/** @type {any} */
let awake;
let beeped = 0;

/** A browser makes sound only after a tap. */
export function wakeSound() {
  try {
    sound ??= new AudioContext();
  } catch {
    // no sound here: the words and the shaking stay
  }
}

/** How long ago it beeped. [ms] */
export const quietMs = () => Date.now() - beeped;

/** @param {number} hertz @param {number} forS */
export function beep(hertz, forS) {
  beeped = Date.now();
  wakeSound();
  if (!sound) return;
  const tone = sound.createOscillator();
  tone.frequency.value = hertz;
  tone.connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + forS);
}

/** A phone whose screen goes dark asks nothing. */
export async function stayAwake() {
  const wake = async () => {
    if (document.visibilityState === "visible") awake = await navigator.wakeLock?.request("screen").catch(() => undefined);
  };
  document.addEventListener("visibilitychange", wake);
  await wake();
}

export const maySleep = () => awake?.release?.();

/** Trouble by voice, where the browser can; the buttons always work.
 * @param {() => boolean} goesOn @param {() => void} trouble */
export function listen(goesOn, trouble) {
  const Hears = /** @type {any} */ (globalThis).SpeechRecognition ?? /** @type {any} */ (globalThis).webkitSpeechRecognition;
  if (!Hears) return;
  const ears = new Hears();
  Object.assign(ears, { continuous: true, lang: "en-US" });
  ears.onresult = (/** @type {any} */ event) => {
    const heard = event.results[event.results.length - 1][0].transcript.toLowerCase();
    // no spoken word says that water comes, only the button; a word of trouble is believed at once
    if (/\b(no|not|none|nothing|stop\w*|dry|hot|smoke|isn.?t|don.?t|can.?t)\b/.test(heard)) trouble();
  };
  ears.onend = () => goesOn() && ears.start();
  ears.onerror = (/** @type {any} */ no) => no.error === "not-allowed" && (ears.onend = null);
  try {
    ears.start();
  } catch {
    // it hears nothing: the buttons work
  }
}
