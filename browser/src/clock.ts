// The glue's clock: counts down from the time the glue stays open; keeps counting over a reload.
export function begin(): void {
  for (const box of document.querySelectorAll<HTMLElement>("[data-clock]")) {
    const button = box.querySelector("button");
    const out = box.querySelector("output");
    if (!button || !out) continue;
    const minutes = Number(box.dataset.clock);
    const name = `longpoint-clock-${location.pathname}-${box.closest("li")?.id}`;
    const show = () => {
      const began = Number(sessionStorage.getItem(name) ?? 0);
      const left = began ? Math.round(minutes * 60 - (Date.now() - began) / 1000) : minutes * 60;
      const late = left < 0;
      const all = Math.abs(left);
      out.textContent = `${late ? "+" : ""}${Math.floor(all / 60)}:${String(all % 60).padStart(2, "0")}`;
      box.classList.toggle("over", late);
    };
    button.addEventListener("click", () => {
      sessionStorage.setItem(name, String(Date.now()));
      show();
    });
    setInterval(show, 500);
    show();
  }
}
