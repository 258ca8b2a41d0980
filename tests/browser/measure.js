// What a cold eye and a gloved hand meet on this page, computed: contrast of every word, its size,
// and the size of every control. Each function returns the offenders as sentences; none is good.
(() => {
  const WORD = /[\p{L}\p{N}]/u;

  const shown = (element) => {
    if (!element.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true })) return false;
    const box = element.getBoundingClientRect();
    return box.width > 0 && box.height > 0 && box.right > 0; // `left: -99em` is for screen readers
  };
  const say = (element) => {
    const words = (element.getAttribute("aria-label") || element.textContent || element.name || "").trim();
    return `<${element.tagName.toLowerCase()}> ${JSON.stringify(words.replace(/\s+/g, " ").slice(0, 40))}`;
  };

  // --- contrast, WCAG 2.2 "relative luminance" and "contrast ratio" ---------------------------
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const rgba = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const over = ([r, g, b, a], below) =>
    [r, g, b].map((part, i) => part * a + below[i] * (1 - a)).concat(1);
  const luminance = (colour) => {
    const [r, g, b] = colour.slice(0, 3).map((part) => {
      const s = part / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (one, other) => {
    const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (high + 0.05) / (low + 0.05);
  };

  /** What lies behind an element: the backgrounds of those around it, laid over each other. */
  function behind(element) {
    const layers = [];
    for (let one = element; one; one = one.parentElement) {
      const colour = rgba(getComputedStyle(one).backgroundColor);
      if (colour[3] > 0) layers.push(colour);
      if (colour[3] === 1) break;
    }
    const page = rgba(getComputedStyle(document.body).backgroundColor);
    return layers.reduceRight((below, layer) => over(layer, below), page);
  }

  /** In a drawing: the last filled shape drawn before the words and under their middle, or its halo. */
  function behindDrawn(words) {
    const style = getComputedStyle(words);
    if (style.paintOrder.startsWith("stroke") && style.stroke !== "none") return rgba(style.stroke);
    const box = words.getBoundingClientRect();
    const middle = new DOMPoint(box.x + box.width / 2, box.y + box.height / 2);
    let found = behind(words.ownerSVGElement);
    for (const shape of words.ownerSVGElement.querySelectorAll("path, rect, circle, polygon")) {
      if (!(shape.compareDocumentPosition(words) & Node.DOCUMENT_POSITION_FOLLOWING)) continue;
      const { fill, fillOpacity } = getComputedStyle(shape);
      if (fill === "none" || !shape.isPointInFill(middle.matrixTransform(shape.getScreenCTM().inverse()))) continue;
      const [r, g, b, a] = rgba(fill);
      found = over([r, g, b, a * Number(fillOpacity)], found);
    }
    return found;
  }

  function texts() {
    const found = new Map();
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      const element = node.parentElement;
      if (WORD.test(node.data) && shown(element) && !element.closest("title, script, style, option")) found.set(element, node.data);
    }
    for (const field of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
      if (shown(field) && !["checkbox", "radio"].includes(field.type)) found.set(field, field.value || "typed");
    }
    return [...found];
  }

  function faint(least) {
    return texts().flatMap(([element]) => {
      const drawn = element instanceof SVGElement;
      const back = drawn ? behindDrawn(element) : behind(element);
      const front = over(rgba(drawn ? getComputedStyle(element).fill : getComputedStyle(element).color), back);
      const found = ratio(front, back);
      return found < least ? [`${say(element)}: contrast ${found.toFixed(1)}`] : [];
    });
  }

  function tiny(least_px) {
    return texts().flatMap(([element]) => {
      let size_px = Number.parseFloat(getComputedStyle(element).fontSize);
      if (element instanceof SVGElement) size_px *= Math.abs(element.getScreenCTM().a);
      return size_px < least_px ? [`${say(element)}: letters of ${size_px.toFixed(1)} px`] : [];
    });
  }

  // --- targets ---------------------------------------------------------------------------------
  /** A link inside a sentence is read, not aimed at: words of its line come before it. */
  function inSentence(link) {
    if (getComputedStyle(link).display !== "inline") return false;
    let block = link.parentElement;
    while (getComputedStyle(block).display === "inline") block = block.parentElement;
    const before = document.createRange();
    before.setStart(block, 0);
    before.setEndBefore(link);
    const words = before.cloneContents();
    words.querySelectorAll("a, script, style").forEach((one) => one.remove());
    return /\p{L}{2,}/u.test(words.textContent);
  }

  /** In a drawing a link is a second way to one that stands on the page as a control of full size. */
  const isTwin = (link) =>
    link instanceof SVGElement &&
    [...document.querySelectorAll("a[href]")].some(
      (other) => !(other instanceof SVGElement) && other.getAttribute("href") === link.getAttribute("href"),
    );

  /** What a finger aims at: a tick box is aimed at by its label. */
  function target(control) {
    const label = ["checkbox", "radio"].includes(control.type) ? control.closest("label") : null;
    return (label || control).getBoundingClientRect();
  }

  function small(least_px) {
    const controls = document.querySelectorAll("button, summary, select, textarea, input:not([type=hidden]), a[href]");
    return [...controls].filter(shown).flatMap((control) => {
      if (control.tagName.toLowerCase() === "a" && (inSentence(control) || isTwin(control))) return [];
      const { width, height } = target(control);
      const fits = height >= least_px - 0.5 && width >= least_px - 0.5;
      return fits ? [] : [`${say(control)}: ${width.toFixed(0)} × ${height.toFixed(0)} px`];
    });
  }

  /** What sticks out to the right, so that the page must be pushed sideways. */
  function wide() {
    const room = document.documentElement.clientWidth;
    if (document.scrollingElement.scrollWidth <= room) return [];
    const out = [...document.body.querySelectorAll("*")].filter(
      (one) => one.getBoundingClientRect().right > room + 1 && !one.closest(".wide"),
    );
    return [`${document.scrollingElement.scrollWidth} px in ${room}`, ...out.slice(-3).map(say)];
  }

  window.measure = { faint, tiny, small, wide };
})();
