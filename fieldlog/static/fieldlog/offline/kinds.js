// What can be recorded without signal. A kind says
//
//   address(record), body(record, entries)   where it is sent, and as what
//   answer(body)                             what is worth keeping of the server's answer
//   title(record), told(record), by          what it is called, what is said of it while it waits, 'Walked' by whom
//   cameTo(record), page(record), after      what came of it once sent, its page there, and what happens next
//   mend(record)                             the page where a record that was refused is put right, if it can be
//   files                                    [{ text, type, ending, write }]: files beside the JSON
//   batch                                    { address(record), most, wrap(bodies, record) }: many of a property in one
//                                            POST, answered { answers: [{ id, status, visit | error }] }
//
// Where the server answers { refused: [{ id, what, code, sentence, fields }] }, the record stays with a `state` and
// `refused` at each of its `readings` and `photos` (parts.js). The bytes of `record.photos` follow by themselves.

import { visitKind } from "../field/kind.js";
import { checkinKind, workItemKind, workKind } from "../field/work_kinds.js";
import { plantingKind } from "../sheets/kind.js";
import { walkKind } from "../walk/kind.js";

export const KINDS = {
  walk: walkKind,
  planting: plantingKind,
  visit: visitKind,
  work: workKind,
  workitem: workItemKind,
  checkin: checkinKind,
};
