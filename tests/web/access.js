// What the tests of every screen measure in the page.

function named(one) {
  return (one.getAttribute('aria-label') || one.innerText).trim().split('\n')[0];
}

function shown(one) {
  return one.offsetParent !== null && getComputedStyle(one).visibility !== 'hidden';
}

/** Targets that are too low or narrow for a gloved thumb, and pairs that are too near each other. */
function targets() {
  const bars = [...document.querySelectorAll('nav, .first, .foot, .reach, .said')];
  const boxes = [...document.querySelectorAll('button, .button, nav a, .answer')].filter(shown).map((one) => ({
    name: named(one),
    bar: bars.findIndex((bar) => bar.contains(one)),
    ...one.getBoundingClientRect().toJSON(),
  }));
  const low = boxes.filter((one) => one.height < 59.5 || one.width < 59.5);
  const near = [];
  for (const [n, a] of boxes.entries()) {
    for (const b of boxes.slice(n + 1)) {
      if (a.bar !== b.bar) continue; // a bar that stays may lie over what scrolls
      const across = Math.max(a.left, b.left) - Math.min(a.right, b.right);
      const down = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
      if (Math.max(across, down) < 15.5) near.push(`${a.name} | ${b.name}: ${across}, ${down}`);
    }
  }
  return { count: boxes.length, low: low.map((one) => `${one.name} ${one.width}x${one.height}`), near };
}

/** Texts that are cut off at their side. */
function clipped() {
  const texts = 'h1, h2, p, button, .button, a, td, th, label, dt, dd';
  return [...document.querySelectorAll(texts)]
    .filter((one) => shown(one) && !one.closest('.scrolls, .hidden'))
    .filter((one) => one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== 'inline')
    .map((one) => `${one.tagName} ${named(one).slice(0, 40)} ${one.scrollWidth}>${one.clientWidth}`);
}
