// Counts down what the page said in words; without this script the words stand as they were.

/** @param {number} seconds */
function words(seconds) {
  const minutes = Math.floor(seconds / 60);
  if (minutes >= 60) return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return minutes ? `${minutes} min ${seconds % 60} s` : `${seconds} s`;
}

const ends = new WeakMap(); // by the page's own running time: a wrong clock on the phone does not matter

setInterval(() => {
  for (const place of document.querySelectorAll(".countdown")) {
    if (!ends.has(place)) ends.set(place, performance.now() + 1000 * Number(place.dataset.seconds));
    const left = Math.ceil((ends.get(place) - performance.now()) / 1000);
    place.textContent = left > 0 ? words(left) : "0 s: now";
  }
}, 250);
