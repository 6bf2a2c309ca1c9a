// Stand the device's own time zone first among those of the shop's country, chosen where nothing is chosen yet.
// Without it the person chooses from the list.

const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
for (const select of document.querySelectorAll("select[data-device-zone]")) {
  const own = select.querySelector("optgroup");
  const option = own && [...own.children].find((one) => one.value === here);
  if (option && !select.value) {
    own.prepend(option);
    option.selected = true;
  }
}
