// What shows whether a place is right: sunrise and sunset there today, and the town that its time zone is named for.

import { debounceRequest } from "./debounce.js";
import { button, make } from "./elements.js";
import { _ } from "./texts.js";

export function placeFacts(sheet, row, path) {
  const said = make("p", { class: "told-of", role: "status" });
  const proposal = make("div", {});
  const { values } = row;
  const sun = debounceRequest(
    () => sheet.ask("sun", { latitude: values.latitude, longitude: values.longitude, timezone: values.timezone }),
    (answer) => { said.textContent = answer.said ? _("There today: {sun}.", { sun: answer.said }) : _("No place yet: give a time zone and the degrees."); },
  );
  const take = (town) => {
    Object.assign(values, town, values.name.trim() ? { name: values.name } : {});
    sheet.changed(`${path}.latitude`);
    sheet.redraw(`[data-row="${row.uid}"] .as-zone input`);
  };
  const town = debounceRequest(
    () => sheet.ask("town", { timezone: values.timezone }),
    ({ town: found }) => {
      proposal.replaceChildren();
      if (!found?.name || (found.latitude === values.latitude && found.longitude === values.longitude)) return;
      if (!values.latitude.trim() && !values.longitude.trim()) take(found);
      else proposal.append(button(_("Take the degrees of {town}: {latitude} north, {longitude} east", { town: found.name, ...found }), () => take({ ...found, name: values.name || found.name }), { class: "quiet" }));
    },
  );
  sheet.whenChanged(path, ["latitude", "longitude", "timezone"], sun);
  sheet.whenChanged(path, ["timezone"], town);
  sun();
  return make("div", { class: "due" }, said, proposal);
}
