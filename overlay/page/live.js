// Hears from the server that the plan was saved: a good plan shows itself, a mistake stands over the
// last good page.

const events = new EventSource("/changes");
events.addEventListener("message", ({ data: told }) => {
  const { version, mistake } = JSON.parse(told);
  const box = document.getElementById("mistake");
  box.hidden = mistake === null;
  box.querySelector("pre").textContent = mistake ?? "";
  if (mistake === null && version !== data.version) location.reload();
});
