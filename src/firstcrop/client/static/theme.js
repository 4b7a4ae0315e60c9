// Before anything is drawn: the light or dark chosen last time.
try {
  const known = localStorage.getItem("firstcrop-theme");
  if (known) document.documentElement.dataset.theme = known;
} catch { /* as the system has it */ }
