// Night or day as it was chosen on this phone, before anything is drawn; unsaid: as the device has it.
"use strict";
{
  const chosen = localStorage.getItem("hardpan-night");
  if (chosen) document.documentElement.dataset.night = chosen;
}
