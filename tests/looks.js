// Run by tests/looks.sh inside a page that holds one report in a frame: what is wrong with its looks.
function looks(frame) {
  const page = frame.contentDocument, view = frame.contentWindow, wrong = [];
  const root = page.documentElement;
  const closed = page.querySelectorAll("details:not([open])");
  if ([...closed].some((one) => !one.querySelector(":scope > summary")?.textContent.trim())) wrong.push("something closed has no name");
  // what may stay closed is looked at like the rest
  closed.forEach((one) => (one.open = true));
  if (root.scrollWidth > view.innerWidth) wrong.push(`scrolls sideways: ${root.scrollWidth} in ${view.innerWidth}`);
  if (view.performance.getEntriesByType("resource").length) wrong.push("asks for something outside itself");

  const parse = (colour) => {
    const parts = colour.match(/[\d.]+/g).map(Number);
    return { rgb: parts.slice(0, 3), alpha: parts.length > 3 ? parts[3] : 1 };
  };
  // WCAG 2.2, relative luminance and contrast ratio
  const luminance = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((c) => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ratio = (a, b) => {
    const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const { rgb, alpha } = parse(view.getComputedStyle(at).backgroundColor);
      if (alpha > 0) return rgb;
    }
    return [255, 255, 255];
  };
  const hold = (element, ink, paper) => {
    const found = ratio(ink, paper);
    if (found < 4.5) wrong.push(`contrast ${found.toFixed(2)}: ${element.textContent.trim().slice(0, 40)}`);
  };
  for (const element of page.querySelectorAll("body *:not(script):not(svg *)")) {
    const words = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (words) hold(element, parse(view.getComputedStyle(element).color).rgb, ground(element));
  }
  for (const text of page.querySelectorAll("svg text")) {
    const on = text.getAttribute("class").match(/on(\d)/);
    const bar = on && text.closest("svg").querySelector(`rect.f${on[1]}`);
    hold(text, parse(view.getComputedStyle(text).fill).rgb, bar ? parse(view.getComputedStyle(bar).fill).rgb : ground(text));
  }

  for (const svg of page.querySelectorAll("svg")) {
    const texts = [...svg.querySelectorAll("text")].map((text) => ({ text, box: text.getBBox() }));
    const { width, height } = svg.viewBox.baseVal;
    for (const [at, { text, box }] of texts.entries()) {
      if (box.x < 0 || box.y < 0 || box.x + box.width > width || box.y + box.height > height)
        wrong.push(`leaves its picture: ${text.textContent}`);
      // a line of a font is taller than its letters
      const slack = box.height * 0.12;
      for (const { text: other, box: its } of texts.slice(0, at))
        if (box.x < its.x + its.width && its.x < box.x + box.width &&
            box.y + slack < its.y + its.height - slack && its.y + slack < box.y + box.height - slack)
          wrong.push(`words overlap: ${text.textContent} / ${other.textContent}`);
    }
    if (!svg.querySelector("title")?.textContent || !svg.querySelector("desc")?.textContent)
      wrong.push("a picture without a text alternative");
  }

  const levels = [...page.querySelectorAll("h1,h2,h3,h4,h5")].map((heading) => Number(heading.tagName[1]));
  if (levels[0] !== 1 || levels.some((level, at) => at && level > levels[at - 1] + 1)) wrong.push(`headings skip a level: ${levels}`);
  for (const table of page.querySelectorAll("table")) {
    if (!table.caption?.textContent) wrong.push("a table without a caption");
    if ([...table.querySelectorAll("thead th")].some((head) => head.scope !== "col" || !head.textContent.trim()))
      wrong.push("a column without a heading");
  }
  const ids = [...page.querySelectorAll("[id]")].map((element) => element.id);
  if (new Set(ids).size !== ids.length) wrong.push("an id is used twice");

  const press = page.querySelector("thead th.number button");
  const column = press && [...press.closest("tr").cells].indexOf(press.closest("th"));
  if (press) {
    press.click();
    const ranks = [...press.closest("table").tBodies[0].rows].map((row) => row.cells[column].dataset.rank);
    const numbers = ranks.filter((rank) => rank !== undefined).map((rank) => (rank === "inf" ? Infinity : Number(rank)));
    if (numbers.some((number, at) => at && number < numbers[at - 1])) wrong.push(`a table does not sort: ${ranks}`);
  } else wrong.push("no table can be sorted");
  return wrong;
}
