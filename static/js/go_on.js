// A round of papers goes on by itself; without script its button does the same.

const form = document.querySelector("[data-go-on]");
const stop = document.querySelector("[data-go-on] a");
const timer = setTimeout(() => form.requestSubmit(), 400);
stop.addEventListener("click", () => clearTimeout(timer));
