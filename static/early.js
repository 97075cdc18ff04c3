/* What was typed before the scripts stood is told as typing is: previews and drafts know nothing of it otherwise. */

import { fieldsOf, given, stands } from "./fields.js";

const tell = () => {
  for (const form of document.forms) {
    const typed = fieldsOf(form).find((field) => stands(field) !== given(field));
    typed?.dispatchEvent(new Event("input", { bubbles: true }));
  }
};

/* Tell of every form whose fields stand otherwise than the server gave them, once htmx has been over the page. */
export const tellWhatWasTypedEarly = () => document.addEventListener("htmx:after:process", tell, { once: true });
