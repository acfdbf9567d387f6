// Draws the edge of a green beside the field in which it is typed, and lets it be
// drawn with pointer or keys: what is drawn is written into the field, which is all
// that is sent. Without this script the field is filled in by hand.
"use strict";

(() => {
  const box = document.querySelector(".sketch");
  const edgeField = document.querySelector(".field-ring textarea");
  const spotField = document.querySelector(".field-spots textarea");
  if (!box || !edgeField) return;

  const size = 600; // of the drawing, in its own units
  const fineM = 0.5, coarseM = 5, digits = 1;
  const leastM = 40; // the ground is shown at least this wide
  let corners = [], earlier = [], view = null, aim = null, dragged = -1;

  const svgNode = (name, attributes) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    return node;
  };
  const numbers = (text, count) => text.split("\n")
    .map((line) => line.split(/[\s,;[\]()]+/).filter(Boolean).map(Number))
    .filter((point) => point.length === count && point.every(Number.isFinite));
  const written = (value) => String(Number(value.toFixed(digits)));

  const svg = svgNode("svg", {
    viewBox: `0 0 ${size} ${size}`, tabindex: "0", role: "group",
    "aria-label": "Drawing of the edge. Arrow keys move the aim, Enter sets a corner; Tab goes to the corners, where arrow keys move one and Delete takes it out.",
  });
  const status = document.createElement("p");
  status.className = "note";
  status.setAttribute("role", "status");
  const tools = document.createElement("div");
  tools.className = "tools";
  const help = document.createElement("p");
  help.className = "note";
  help.textContent = "Click or tap to set a corner, drag one to move it. With keys: arrows move the aim by half a metre, with Shift by five; Enter sets a corner; on a corner, arrows move it and Delete takes it out.";

  const tool = (words, act) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "second";
    button.textContent = words;
    button.addEventListener("click", act);
    tools.append(button);
  };

  // The ground that is shown holds every corner, with room round it.
  const frame = () => {
    const all = corners.concat(spots());
    const xs = all.map((p) => p[0]), ys = all.map((p) => p[1]);
    const low = [Math.min(...xs), Math.min(...ys)], high = [Math.max(...xs), Math.max(...ys)];
    const middle = all.length ? [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2] : [leastM / 2, leastM / 2];
    const wide = all.length ? Math.max(leastM, 1.3 * (high[0] - low[0]), 1.3 * (high[1] - low[1])) : leastM;
    view = { left: middle[0] - wide / 2, bottom: middle[1] - wide / 2, scale: size / wide, wide };
    if (!aim) aim = middle.slice();
  };
  const spots = () => (spotField ? numbers(spotField.value, 3) : []);
  const toPage = ([x, y]) => [(x - view.left) * view.scale, size - (y - view.bottom) * view.scale];
  const toGround = (event) => {
    const at = svg.getBoundingClientRect();
    const x = (event.clientX - at.left) / at.width * view.wide + view.left;
    const y = (1 - (event.clientY - at.top) / at.height) * view.wide + view.bottom;
    return [x, y].map((value) => Math.round(value / fineM) * fineM);
  };

  const measured = () => {
    let twice = 0, length = 0;
    corners.forEach(([x, y], i) => {
      const [nextX, nextY] = corners[(i + 1) % corners.length];
      twice += x * nextY - nextX * y;
      length += Math.hypot(nextX - x, nextY - y);
    });
    return [Math.abs(twice) / 2, length];
  };

  const draw = () => {
    const held = document.activeElement && document.activeElement.dataset ? document.activeElement.dataset.corner : undefined;
    svg.replaceChildren();
    let step = 1;
    for (const next of [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000]) { step = next; if (view.wide / next <= 14) break; }
    let path = "";
    const labels = [];
    for (let x = Math.ceil(view.left / step) * step; x < view.left + view.wide; x += step) {
      const across = toPage([x, 0])[0];
      path += `M${across} 0V${size}`;
      labels.push([across + 2, size - 4, x]);
    }
    for (let y = Math.ceil(view.bottom / step) * step; y < view.bottom + view.wide; y += step) {
      const down = toPage([0, y])[1];
      path += `M0 ${down}H${size}`;
      labels.push([2, down - 2, y]);
    }
    svg.append(svgNode("path", { class: "grid", d: path }));
    for (const [x, y, metres] of labels) {
      const label = svgNode("text", { class: "axis", x, y, "aria-hidden": "true" });
      label.textContent = `${metres}`;
      svg.append(label);
    }
    if (corners.length > 1) {
      svg.append(svgNode("path", { class: "edge", d: "M" + corners.map((p) => toPage(p).join(" ")).join("L") + "Z" }));
    }
    for (const spot of spots()) {
      const [cx, cy] = toPage(spot);
      svg.append(svgNode("circle", { class: "spot", cx, cy, r: 3 }));
    }
    const [aimX, aimY] = toPage(aim);
    svg.append(svgNode("path", { class: "aim", d: `M${aimX - 8} ${aimY}h16M${aimX} ${aimY - 8}v16` }));
    corners.forEach((point, i) => {
      const [cx, cy] = toPage(point);
      const corner = svgNode("circle", {
        class: "corner", cx, cy, r: 7, tabindex: "0", role: "button", "data-corner": i,
        "aria-label": `Corner ${i + 1} at ${written(point[0])}, ${written(point[1])} metres`,
      });
      svg.append(corner);
      if (held === String(i)) corner.focus();
    });
    const [area, length] = measured();
    status.textContent = corners.length > 2
      ? `${corners.length} corners: ${area.toFixed(0)} m², edge ${length.toFixed(0)} m. Aim at ${written(aim[0])}, ${written(aim[1])}.`
      : `${corners.length} corners so far. Aim at ${written(aim[0])}, ${written(aim[1])}.`;
  };

  const write = () => {
    edgeField.value = corners.map((p) => p.map(written).join(", ")).join("\n");
    draw();
  };
  const keep = () => { earlier.push(edgeField.value); if (earlier.length > 100) earlier.shift(); };
  const read = () => { corners = numbers(edgeField.value, 2); frame(); draw(); };
  const change = (act) => { keep(); act(); write(); };

  tool("Undo", () => { if (earlier.length) { edgeField.value = earlier.pop(); read(); } });
  tool("Take the last corner out", () => { if (corners.length) change(() => corners.pop()); });
  tool("Show all of it", () => { frame(); draw(); });

  svg.addEventListener("pointerdown", (event) => {
    const corner = event.target.dataset.corner;
    keep();
    if (corner === undefined) {
      aim = toGround(event);
      corners.push(aim.slice());
      dragged = corners.length - 1;
    } else {
      dragged = Number(corner);
    }
    svg.setPointerCapture(event.pointerId);
    write();
  });
  svg.addEventListener("pointermove", (event) => {
    if (dragged < 0) return;
    corners[dragged] = toGround(event);
    write();
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { dragged = -1; });

  const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  svg.addEventListener("keydown", (event) => {
    const corner = event.target.dataset.corner;
    const arrow = arrows[event.key];
    if (arrow) {
      const step = event.shiftKey ? coarseM : fineM;
      const move = (point) => [point[0] + arrow[0] * step, point[1] + arrow[1] * step];
      if (corner === undefined) { aim = move(aim); draw(); } else change(() => { corners[corner] = move(corners[corner]); });
    } else if (corner !== undefined && (event.key === "Delete" || event.key === "Backspace")) {
      change(() => corners.splice(corner, 1));
      svg.focus();
    } else if (corner === undefined && event.key === "Enter") {
      change(() => corners.push(aim.slice()));
    } else {
      return;
    }
    event.preventDefault();
  });
  edgeField.addEventListener("input", read);
  if (spotField) spotField.addEventListener("input", read);

  box.append(svg, tools, status, help);
  box.hidden = false;
  read();
})();
