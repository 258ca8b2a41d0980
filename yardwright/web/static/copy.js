// An address to copy: one tap. Without this script it is selected and copied by hand.

document.querySelectorAll("input[data-copy]").forEach((field) => {
  if (!(field instanceof HTMLInputElement) || !navigator.clipboard) return; // plain http has none
  const button = document.createElement("button");
  button.type = "button";
  button.className = "tap";
  button.textContent = "Copy it";
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(field.value);
    button.textContent = "Copied";
  });
  field.after(button);
});
