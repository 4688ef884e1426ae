"use strict";
// Layers, before and after, closer and farther. Without this script every layer is simply shown.
(function () {
  const view = document.getElementById("view");
  const stage = document.getElementById("stage");
  const split = document.getElementById("split");
  const edge = document.getElementById("edge");
  const veil = document.getElementById("veil");
  const images = Array.from(stage.querySelectorAll("img"));
  const ours = images.filter((image) => image.dataset.part !== "original");
  const buttons = Array.from(document.querySelectorAll("button[data-box]"));
  const boxOf = (button) => button.dataset.box.split(" ").map(Number);
  const CLOSEST = 16;
  let zoom = 1; // width of the page, in widths of the window onto it
  let held = buttons[0]; // what the window shows, as long as nobody moves it

  // The divider stands in the window, not on the page: it stays in sight while the page is moved beneath it.
  function place() {
    if (split === null) return;
    const comparing = ours.some((image) => !image.classList.contains("off"));
    const at = (Number(split.value) / 100) * view.clientWidth;
    const x = Math.min(Math.max(view.scrollLeft + at - stage.offsetLeft, 0), stage.clientWidth);
    for (const image of ours) image.style.clipPath = "inset(0 0 0 " + x + "px)";
    veil.style.left = x + "px";
    edge.style.left = at + "px";
    edge.hidden = veil.hidden = !comparing;
    edge.parentElement.classList.toggle("comparing", comparing);
    const share = Math.round(Number(split.value));
    split.setAttribute(
      "aria-valuetext",
      share === 0 ? "all of it after" : share === 100 ? "all of it before" : "before on the left " + share + " percent, after on the rest"
    );
  }

  function room() {
    return Math.max(window.innerHeight * 0.75 - 4, 120);
  }

  function ratio() {
    return images[0].height / images[0].width || 1;
  }

  // Shows a part of the page, given in shares of its width and height, as large as fits.
  function show(box) {
    const wide = view.clientWidth;
    const fit = Math.min(1 / box[2], room() / (box[3] * wide * ratio()));
    zoom = Math.min(box[2] < 1 || box[3] < 1 ? fit * 0.94 : fit, CLOSEST);
    stage.style.width = zoom * 100 + "%";
    const across = wide * zoom;
    view.scrollLeft = (box[0] + box[2] / 2) * across - wide / 2;
    view.scrollTop = (box[1] + box[3] / 2) * across * ratio() - view.clientHeight / 2;
    place();
  }

  function closer(factor) {
    const next = Math.min(Math.max(zoom * factor, 0.1), CLOSEST);
    const x = (view.scrollLeft + view.clientWidth / 2) / (view.clientWidth * zoom);
    const y = (view.scrollTop + view.clientHeight / 2) / (view.clientWidth * zoom);
    zoom = next;
    stage.style.width = zoom * 100 + "%";
    view.scrollLeft = x * view.clientWidth * zoom - view.clientWidth / 2;
    view.scrollTop = y * view.clientWidth * zoom - view.clientHeight / 2;
    press(null);
    place();
  }

  function press(button) {
    held = button;
    for (const each of buttons) each.setAttribute("aria-pressed", String(each === button));
  }

  for (const box of document.querySelectorAll("input[data-part]")) {
    box.addEventListener("change", () => {
      for (const image of images) if (image.dataset.part === box.dataset.part) image.classList.toggle("off", !box.checked);
      place();
    });
  }
  for (const button of buttons) {
    button.addEventListener("click", () => {
      press(button);
      show(boxOf(button));
    });
  }
  document.getElementById("closer").addEventListener("click", () => closer(1.5));
  document.getElementById("farther").addEventListener("click", () => closer(1 / 1.5));
  if (split !== null) {
    split.addEventListener("input", place);
    const grip = edge.firstElementChild;
    grip.addEventListener("pointerdown", (event) => {
      grip.setPointerCapture(event.pointerId);
      event.preventDefault();
    });
    grip.addEventListener("pointermove", (event) => {
      if (!grip.hasPointerCapture(event.pointerId)) return;
      const from = view.getBoundingClientRect();
      split.value = String(((event.clientX - from.left) / view.clientWidth) * 100);
      place();
    });
  }
  view.addEventListener("scroll", place);
  window.addEventListener("resize", () => (held ? show(boxOf(held)) : place()));

  document.getElementById("controls").hidden = false;
  press(held);
  show(boxOf(held));
  window.addEventListener("load", () => show(boxOf(held || buttons[0])));
})();
