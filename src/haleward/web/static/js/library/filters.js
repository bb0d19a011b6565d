// A changed choice narrows the list at once. Without script the button does the same.
document.querySelectorAll("form[data-filters]").forEach((form) => {
  form.querySelectorAll("select").forEach((select) => select.addEventListener("change", () => form.requestSubmit()));
});
