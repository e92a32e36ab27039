;;; withy-mode.el --- Books of Withy  -*- lexical-binding: t; -*-

;; Made by `make words' from editors/emacs/withy-mode.el.in and spec/*.yaml: to change it, edit those.

;; Version: 0.1.0
;; Package-Requires: ((emacs "27.1"))
;; Keywords: languages

;;; Commentary:

;; A major mode for the books of Withy, one event a line.  See book(5).
;;
;; Colours follow the vocabulary, and what cannot be right is shown as an error at once.  Imenu lists
;; what begins in the file.  M-TAB completes dates, events, fields and words.  Flymake runs wy-check.
;; M-x eglot starts wy-serve, which does all of this for the whole book, and more.

;;; Code:

(require 'cl-lib)
(require 'imenu)
(require 'seq)
(require 'subr-x)

(defgroup withy nil
  "Books of Withy."
  :group 'languages)

(defcustom withy-check-program "wy-check"
  "The checker that Flymake runs."
  :type 'string)

(defcustom withy-check-arguments nil
  "Arguments of `withy-check-program' before the file.
With (\"-b\") the book that the house file names is checked, too."
  :type '(repeat string))

(defconst withy-events
  '(
    ("fell" "a tree is felled" "parcel" "site" "girth" "age" "licence" "price" "from" "by" "doc")
    ("cleave" "a lot of clefts is split from a tree; may repeat" "tree" "count" "rolls" "cull" "into" "by" "doc")
    ("buy" "a lot is bought in" "form" "count" "into" "cull" "claimed" "price" "origin" "from" "by" "doc")
    ("seal" "the ends are sealed" "with" "by" "doc")
    ("move" "pieces go to another place" "into" "form" "type" "grade" "class" "at" "count" "cull" "by" "doc")
    ("tally" "a count of the pieces present; count + cull must equal book + found" "at" "count" "form" "type" "grade" "class" "cull" "found" "since" "price" "origin" "from" "by" "doc")
    ("scrap" "pieces are culled" "cull" "form" "type" "grade" "class" "at" "by" "doc")
    ("sell" "pieces, a bat or a by-product are sold" "to" "form" "type" "grade" "class" "at" "count" "volume" "mass" "price" "for" "by" "doc")
    ("return" "pieces or a bat that were sold come back" "cause" "into" "form" "type" "grade" "class" "count" "from" "by" "doc")
    ("pool" "pieces of several lots can no longer be distinguished and go on under a new id" "lot" "at" "form" "type" "grade" "class" "by" "doc")
    ("load" "pieces of a charge go into a kiln" "kiln" "lot" "at" "count" "form" "type" "grade" "class" "cull" "by" "doc")
    ("set" "the settings of a kiln are changed" "stage" "temp" "rh" "wetbulb" "by" "doc")
    ("air" "the climate of a kiln or a room" "temp" "rh" "wetbulb" "meter" "by" "doc")
    ("probe" "moisture readings; probes put in and taken out" "at" "form" "type" "grade" "class" "in" "out" "mc" "wood" "meter" "depth" "by" "doc")
    ("oven" "the oven test of a piece: its wet and dry mass" "wet" "dry" "cull" "lot" "at" "form" "type" "grade" "class" "mc" "wood" "meter" "depth" "by" "doc")
    ("weigh" "the mass of sample pieces, or of a whole load" "mass" "lot" "at" "form" "type" "grade" "class" "by" "doc")
    ("unload" "pieces come out of the kiln" "count" "into" "lot" "form" "type" "grade" "class" "cull" "by" "doc")
    ("plane" "clefts are planed to blades" "at" "count" "form" "type" "cull" "into" "by" "doc")
    ("grade" "blades are graded; with grade= they are graded again" "at" "count" "form" "type" "grade" "class" "cull" "into" "by" "doc")
    ("judge" "one opinion of one piece; it moves nothing" "grade" "class" "grains" "straight" "colour" "fault" "mass" "mc" "wood" "meter" "handle-end" "by" "doc")
    ("issue" "pieces are issued to the shop" "at" "count" "into" "form" "type" "grade" "class" "cull" "for" "by" "doc")
    ("make" "a bat is made of one blade and one handle" "blade" "handle" "at" "type" "grade" "class" "mc" "wood" "meter" "for" "by" "doc")
    ("finish" "a bat is finished: its mass and sizes" "at" "mass" "length" "width" "depth" "edge" "shape" "into" "by" "doc")
    ("rehandle" "a bat gets a new handle; the old one is culled" "handle" "at" "cull" "type" "mc" "wood" "meter" "by" "doc")
    ("order" "an order of a customer; a later line restates the whole order" "count" "form" "mass" "price" "due" "to" "by" "doc")
    ("cost" "a cost, and the pieces or days that it is spread over" "kind" "price" "energy" "over" "from" "to" "by" "doc")
    ("credit" "a supplier gives back a part of what was paid" "from" "price" "fault" "by" "doc")
    ("rate" "an exchange rate" "is" "by" "doc")
    ("meter" "an instrument is checked against a reference" "true" "read" "wood" "by" "doc")
    ("note" "a note in words" "text" "by" "doc")
    )
  "Events: the name, what it means, the fields that it may have.")

(defconst withy-fields
  '(
    ("parcel" "the parcel of standing trees that it was bought in" "id")
    ("site" "the place where it grew" "id")
    ("girth" "girth at breast height" "length")
    ("age" "age in years" "count")
    ("licence" "the felling licence" "id")
    ("tree" "the tree that the clefts come from" "id")
    ("rolls" "number of rolls it was cut into" "count")
    ("kiln" "the kiln of the charge" "place")
    ("blade" "the lot or piece of the blade" "piece")
    ("handle" "the lot of the handle" "piece")
    ("lot" "the lot" "id")
    ("at" "where the pieces are" "place")
    ("form" "cleft, blade, handle or bat" "id")
    ("type" "the type (size)" "id")
    ("grade" "the grade" "what")
    ("class" "the weight class of a graded piece" "id")
    ("count" "number of pieces that go on, by what they become: a type, a grade, TYPE/GRADE or TYPE/GRADE/CLASS" "count")
    ("stage" "the stage of the schedule" "id")
    ("temp" "dry-bulb temperature of the air" "temperature")
    ("rh" "relative humidity of the air" "humidity")
    ("wetbulb" "wet-bulb temperature of the air" "temperature")
    ("out" "probes taken out" "id")
    ("in" "probes put in, and the piece that each is in" "pick")
    ("grains" "grain lines across the face" "count")
    ("straight" "straightness of the grain" "id")
    ("colour" "colour of the face" "id")
    ("fault" "faults seen" "id")
    ("mass" "mass" "mass")
    ("mc" "moisture content as the meter showed it" "moisture")
    ("wood" "temperature of the wood" "temperature")
    ("meter" "the instrument, and its setting" "setting")
    ("length" "length" "length")
    ("width" "width of the blade" "length")
    ("depth" "depth; for a bat, its thickness" "length")
    ("edge" "thickness of the edge" "length")
    ("shape" "shape of the finished blade, in a word of the works" "id")
    ("handle-end" "the end that takes the handle" "id")
    ("wet" "wet mass, before the oven" "mass")
    ("dry" "oven-dry mass" "mass")
    ("cull" "number of pieces culled, by cause" "count")
    ("found" "number of pieces found beyond those in the book" "count")
    ("since" "the day from which the pieces found have had their form" "date")
    ("claimed" "the supplier's own grades" "count")
    ("kind" "kind of cost" "id")
    ("energy" "energy used" "energy")
    ("volume" "volume" "volume")
    ("price" "the total of the line, without tax" "money")
    ("over" "the first and last day that the cost is for" "date")
    ("due" "the day it is due" "date")
    ("is" "the worth of one unit of the currency" "rate")
    ("true" "the value of the reference" "reading")
    ("read" "the reading of the instrument" "reading")
    ("with" "the sealant of the ends" "id")
    ("text" "words" "text")
    ("cause" "the cause of the return" "id")
    ("origin" "country or region where the wood grew" "id")
    ("from" "the party that it comes from" "id")
    ("to" "the party that it goes to" "id")
    ("into" "where the pieces go" "place")
    ("for" "the order that it is for" "id")
    ("doc" "the paper: invoice, docket, licence" "id")
    ("by" "the person who did it" "id")
    )
  "Fields: the name, what it means, the type of its value.")

(defconst withy-choices
  '(
    ("straight" "straight" "slight" "crooked")
    ("handle-end" "butt" "tip")
    ("form" "cleft" "blade" "handle" "bat"))
  "Fields that take a few words only.")

(defconst withy-units
  '(
    ("moisture" "%")
    ("humidity" "%")
    ("temperature" "C" "F")
    ("mass" "g" "kg" "lb" "oz")
    ("length" "mm" "cm" "m" "in" "ft")
    ("volume" "m3")
    ("energy" "kWh")
    ("span" "h" "d" "w")
    ("reading" "%" "C" "F" "g" "kg" "lb" "oz")
    )
  "Types of value that need a unit.")

(defconst withy-keywords-of-rules
  '(
    "nul-byte"
    "bad-utf8"
    "control-character"
    "byte-order-mark"
    "carriage-return"
    "line-end-missing"
    "line-over-limit"
    "incomplete"
    "merge-mark"
    "version-unknown"
    "date-malformed"
    "date-impossible"
    "time-malformed"
    "event-missing"
    "event-unknown"
    "subject-missing"
    "subject-malformed"
    "field-malformed"
    "field-unknown"
    "field-not-here"
    "field-twice"
    "field-missing"
    "field-one-of"
    "value-missing"
    "item-empty"
    "list-not-allowed"
    "label-missing"
    "label-not-allowed"
    "label-twice"
    "quote-open"
    "quote-escape"
    "quote-after"
    "text-unquoted"
    "number-malformed"
    "number-too-long"
    "number-out-of-range"
    "unit-missing"
    "unit-unknown"
    "currency-unknown"
    "money-places"
    "absent-not-allowed"
    "beyond-not-allowed"
    "range-not-allowed"
    "range-inverted"
    "id-malformed"
    "word-unknown"
    "stock-short"
    "stock-absent"
    "stock-ambiguous"
    "stock-order"
    "stock-undecided"
    "pool-mixed"
    "bat-count"
    "tally-sum"
    "tally-unknown"
    "lot-again"
    "count-missing"
    "into-missing"
    "bat-not-sold"
    "bat-buyer"
    "return-short"
    "rehandle-cull"
    "tally-origin"
    "since-later"
    "claimed-sum"
    "kiln-other"
    "kiln-full"
    "kiln-off-full"
    "kiln-not-empty"
    "probe-not-in"
    "probe-in-again"
    "probe-left-in"
    "probe-what"
    "reading-untrusted"
    "uncorrected"
    "meter-overdue"
    "meter-unchecked"
    "reading-twice"
    "meter-off"
    "meter-units"
    "wetbulb-above-dry"
    "oven-masses"
    "oven-pairs"
    "oven-mc"
    "bat-over-law"
    "make-moisture"
    "make-label"
    "make-fits"
    "order-due"
    "order-what"
    "order-party"
    "order-mass"
    "order-again"
    "order-oversold"
    "order-overissued"
    "rate-missing"
    "credit-sign"
    "rate-far"
    "over-range"
    "place-unknown"
    "kiln-unknown"
    "person-unknown"
    "party-unknown"
    "cull-unknown"
    "cause-unknown"
    "cost-kind-unknown"
    "stage-unknown"
    "meter-unknown"
    "form-unknown"
    "type-unknown"
    "grade-unknown"
    "class-unknown"
    "byproduct-unknown"
    "claim-unknown"
    "implausible"
    "class-mass"
    "date-far"
    "time-skipped"
    "line-twice"
    "closed-changed"
    "id-unknown"
    "id-other"
    "id-too-early"
    "id-kind"
    "id-pattern"
    "tree-again"
    "suppression-unknown"
    "suppression-reason"
    "suppression-unused"
    )
  "The rules of wy-check, for comments that say that something is intended.")

;;;; The words of the works

(defvar-local withy--own nil
  "Events and fields of the works: (EVENTS . FIELDS), in the form of the constants.")

(defun withy--read-own ()
  "Ask wy-check for the works' own events and fields."
  (let (events fields)
    (when (and (executable-find withy-check-program) (not (file-remote-p default-directory)))
      (with-temp-buffer
        (when (eql 0 (ignore-errors (call-process withy-check-program nil '(t nil) nil "--events" "--as=tsv")))
          (goto-char (point-min))
          (forward-line 1)
          (while (not (eobp))
            (let* ((cell (split-string (buffer-substring (line-beginning-position) (line-end-position)) "\t"))
                   (event (nth 0 cell)) (field (nth 1 cell)))
              (if (equal field "")
                  (push (list event (nth 6 cell)) events)
                (nconc (assoc event events) (list field))
                (unless (assoc field withy-fields)
                  (push (list field (nth 6 cell) (nth 3 cell)) fields))))
            (forward-line 1)))))
    (cons (seq-remove (lambda (row)
                        (null (seq-difference (cddr row) (cddr (assoc (car row) withy-events)))))
                      events)
          fields)))

(defun withy--event (name)
  "The row of the event NAME, or nil."
  (or (assoc name (car withy--own)) (assoc name withy-events)))

(defun withy--field (name)
  "The row of the field NAME, or nil."
  (or (assoc name withy-fields) (assoc name (cdr withy--own))))

;;;; Colours

(defface withy-bad '((t :inherit error :underline t))
  "What cannot be right.")

(defconst withy--date "[0-9]\\{4\\}-\\(?:0[1-9]\\|1[0-2]\\)-\\(?:0[1-9]\\|[12][0-9]\\|3[01]\\)")
(defconst withy--time "\\(?:[01][0-9]\\|2[0-3]\\):[0-5][0-9]\\(?::[0-5][0-9]\\)?\\(?:Z\\|[-+][0-9][0-9]:[0-9][0-9]\\)?")
(defconst withy--id "[A-Za-z0-9_][A-Za-z0-9_-]*\\(?:/[A-Za-z0-9_-]+\\)*")
(defconst withy--quoted "\"\\(?:[^\"\\\\\n]\\|\\\\.\\)*\"")

(defun withy--paint (from to face)
  "Give the text between FROM and TO the FACE."
  (when (< from to)
    (put-text-property from to 'face face)))

(defun withy--word (end)
  "Move over the word at point, at most to END; return where it started."
  (prog1 (point)
    (skip-chars-forward "^ \t\n" end)))

(defun withy--paint-number (end type)
  "Paint the number at point, at most to END, as a value of TYPE."
  (let ((start (point)) (units (cdr (assoc type withy-units)))
        (case-fold-search nil) (bare nil) (percent nil))
    (while (looking-at "-?[0-9]+\\(?:\\.[0-9]+\\)?")
      (withy--paint (match-beginning 0) (match-end 0) 'font-lock-constant-face)
      (setq percent (string-to-number (match-string 0)))
      (goto-char (match-end 0))
      (if (looking-at "%\\|[A-Za-z]+[0-9]?\\(?:[^.0-9A-Za-z]\\|$\\)\\|[A-Za-z]+")
          (let ((stop (min end (save-excursion (skip-chars-forward "%A-Za-z3") (point)))))
            (when (and (eq (char-after) ?%) (> percent 200))
              (setq bare t))
            (withy--paint (point) stop 'font-lock-builtin-face)
            (goto-char stop))
        (setq bare (or bare (and units t)))))
    (when (and bare (memq (char-after) '(nil ?\s ?\t ?\n ?, ?+ ?- ?.)))
      (withy--paint start (point) 'withy-bad))))

(defun withy--paint-item (end type)
  "Paint the item of a value at point, at most to END; the field has TYPE."
  (cond
   ((looking-at withy--quoted)
    (withy--paint (point) (min end (match-end 0)) 'font-lock-string-face)
    (goto-char (min end (match-end 0))))
   ((eq (char-after) ?\")
    (withy--paint (point) end 'withy-bad)
    (goto-char end))
   (t
    (when (looking-at (concat "\\(" withy--id "\\):"))
      (withy--paint (match-beginning 1) (match-end 1) 'font-lock-variable-name-face)
      (goto-char (match-end 0)))
    (let ((stop (save-excursion (skip-chars-forward "^,\n" end) (point))))
      (cond
       ((and (looking-at withy--date) (member type '("date")))
        (while (re-search-forward withy--date stop t)
          (withy--paint (match-beginning 0) (match-end 0) 'font-lock-doc-face)))
       ((or (assoc type withy-units) (member type '("count" "money" "rate")))
        (while (re-search-forward "-?[0-9]" stop t)
          (goto-char (match-beginning 0))
          (withy--paint-number stop type)))
       (t nil))
      (goto-char stop)))))

(defun withy--paint-field (end event)
  "Paint the field at point, of EVENT, at most to END."
  (let* ((start (point)) name row)
    (if (not (looking-at "\\([A-Za-z0-9_-]+\\)="))
        (progn (withy--word end) (withy--paint start (point) 'withy-bad))
      (setq name (match-string-no-properties 1)
            row (withy--field name))
      (goto-char (match-end 0))
      (withy--paint start (1- (point))
                    (if (and row (or (null event) (member name (cddr event)))) 'font-lock-type-face 'withy-bad))
      (while (and (< (point) end) (not (memq (char-after) '(?\s ?\t))))
        (let ((before (point)))
          (withy--paint-item (if (looking-at withy--quoted) end
                               (save-excursion (if (eq (char-after) ?\") (goto-char end) (skip-chars-forward "^ \t\n" end)) (point)))
                             (nth 2 row))
          (when (eq (char-after) ?,)
            (forward-char))
          (when (= (point) before)
            (forward-char)))))))

(defun withy--paint-line (end)
  "Paint the line at point, which ends at END."
  (let (event)
    (skip-chars-forward " \t" end)
    (cond
     ((>= (point) end))
     ((eq (char-after) ?#)
      (withy--paint (point) end 'font-lock-comment-face))
     ((not (looking-at (concat withy--date "\\(?:[ \t]\\|$\\)")))
      (withy--paint (point) end 'withy-bad))
     (t
      (withy--paint (withy--word end) (point) 'font-lock-doc-face)
      (skip-chars-forward " \t" end)
      (when (looking-at (concat withy--time "\\(?:[ \t]\\|$\\)"))
        (withy--paint (withy--word end) (point) 'font-lock-doc-face)
        (skip-chars-forward " \t" end))
      (let ((start (withy--word end)))
        (setq event (withy--event (buffer-substring-no-properties start (point))))
        (withy--paint start (point) (if event 'font-lock-keyword-face 'withy-bad)))
      (skip-chars-forward " \t" end)
      (unless (eq (char-after) ?#)
        (let ((good (looking-at (concat withy--id "\\(?:[ \t]\\|$\\)"))))
          (withy--paint (withy--word end) (point) (if good 'font-lock-function-name-face 'withy-bad))))
      (skip-chars-forward " \t" end)
      (while (< (point) end)
        (if (eq (char-after) ?#)
            (progn (withy--paint (point) end 'font-lock-comment-face) (goto-char end))
          (withy--paint-field end event))
        (skip-chars-forward " \t" end))))))

(defun withy--paint-lines (limit)
  "Paint the lines from point to LIMIT.
It is a matcher of font-lock, and matches nothing."
  (beginning-of-line)
  (while (< (point) limit)
    (let ((end (line-end-position)))
      (withy--paint-line end)
      (goto-char end)
      (forward-line 1)
      (when (eobp)
        (goto-char limit))))
  nil)

;;;; Imenu

(defconst withy-imenu-expression
  (let ((start (concat "^[ \t]*" withy--date "\\(?:[ \t]+" withy--time "\\)?[ \t]+")) (id "[ \t]+\\([^ \t\n]+\\)"))
    `(("Orders" ,(concat start "order" id) 1)
      ("Bats" ,(concat start "make" id) 1)
      ("Charges" ,(concat start "load" id) 1)
      ("Lots" ,(concat start "\\(?:cleave\\|buy\\|pool\\)" id) 1)
      ("Trees" ,(concat start "fell" id) 1)))
  "What begins in a book, by kind.")

;;;; Completion

(defun withy--dates ()
  "Today, and the days of the lines above."
  (let ((days (list (format-time-string "%Y-%m-%d"))) (looked 0))
    (save-excursion
      (beginning-of-line)
      (while (and (< looked 50) (zerop (forward-line -1)))
        (setq looked (1+ looked))
        (when (looking-at (concat "[ \t]*\\(" withy--date "\\)"))
          (cl-pushnew (match-string-no-properties 1) days :test #'equal))))
    (nreverse days)))

(defun withy--used (regexp)
  "The texts that group 1 of REGEXP matches, the last one first."
  (let (found (here (point)))
    (save-excursion
      (goto-char (point-min))
      (while (re-search-forward regexp nil t)
        (unless (= (match-end 1) here)
          (setq found (cons (match-string-no-properties 1) found)))))
    (delete-dups found)))

(defun withy--line-event ()
  "The event of the line, and where its fields start, or nil."
  (save-excursion
    (beginning-of-line)
    (when (looking-at (concat "[ \t]*" withy--date "\\(?:[ \t]+" withy--time "\\)?[ \t]+\\([A-Za-z0-9_-]+\\)[ \t]+[^ \t\n]+[ \t]+"))
      (cons (match-string-no-properties 1) (match-end 0)))))

(defun withy--candidates (start)
  "What can be at START, where the word before point starts."
  (let* ((event (withy--line-event))
         (before (buffer-substring-no-properties (line-beginning-position) start)))
    (cond
     ((string-match-p "\\`[ \t]*\\'" before) (withy--dates))
     ((string-match-p (concat "\\`[ \t]*" withy--date "\\(?:[ \t]+" withy--time "\\)?[ \t]+\\'") before)
      (delete-dups (mapcar #'car (append withy-events (car withy--own)))))
     ((and event (string-match "[ \t]\\([A-Za-z0-9_-]+\\)=\\(?:[^ \t]*[,:]\\)?\\'" before))
      (let ((field (match-string 1 before)))
        (append (cdr (assoc field withy-choices))
                (withy--used (concat "[ \t]" field "=\\([A-Za-z0-9_/-]+\\)")))))
     ((and event (<= (cdr event) start))
      (mapcar (lambda (f) (concat f "=")) (cddr (withy--event (car event)))))
     (t (withy--used (concat "^[ \t]*" withy--date "\\(?:[ \t]+" withy--time "\\)?[ \t]+[A-Za-z0-9_-]+[ \t]+\\([A-Za-z0-9_/-]+\\)"))))))

(defun withy-completion-at-point ()
  "Complete the date, the event, the subject, a field or a value before point."
  (let ((end (point))
        (start (save-excursion (skip-chars-backward "A-Za-z0-9_/-") (point))))
    (unless (string-match-p "\\(?:^\\|[ \t]\\)#" (buffer-substring-no-properties (line-beginning-position) start))
      (list start end (withy--candidates start) :exclusive 'no
            :annotation-function (lambda (word)
                                   (let ((row (or (withy--event word) (withy--field (string-remove-suffix "=" word)))))
                                     (and row (concat "  " (nth 1 row)))))))))

;;;; Flymake

(defvar-local withy--check-process nil)

(declare-function flymake-make-diagnostic "flymake")

(defun withy--messages (source)
  "The diagnostics of SOURCE in the output of wy-check, the current buffer."
  (let (found)
    (goto-char (point-min))
    (while (re-search-forward "^[^:\n]*:\\([0-9]+\\):\\([0-9]+\\): \\(error\\|warning\\|note\\): \\(.*\\)$" nil t)
      (let* ((line (string-to-number (match-string 1))) (column (string-to-number (match-string 2)))
             (type (cdr (assoc (match-string 3) '(("error" . :error) ("warning" . :warning) ("note" . :note)))))
             (text (match-string 4)))
        (with-current-buffer source
          (save-excursion
            (save-restriction
              (widen)
              (goto-char (point-min))
              (forward-line (1- line))
              (let* ((from (min (line-end-position) (byte-to-position (+ (position-bytes (point)) column -1))))
                     (to (save-excursion (goto-char from) (skip-chars-forward "^ \t\n,") (max (point) (min (point-max) (1+ from))))))
                (push (flymake-make-diagnostic source from to type text) found)))))))
    (nreverse found)))

(defun withy-flymake (report &rest _)
  "Check the buffer with wy-check, and REPORT what it says.  A backend of Flymake."
  (unless (executable-find withy-check-program)
    (error "There is no %s" withy-check-program))
  (when (process-live-p withy--check-process)
    (kill-process withy--check-process))
  (let ((source (current-buffer)))
    (setq withy--check-process
          (make-process
           :name "withy-check" :noquery t :connection-type 'pipe :coding 'utf-8-unix
           :buffer (generate-new-buffer " *withy-check*")
           :command `(,withy-check-program ,@withy-check-arguments "-")
           :sentinel
           (lambda (process _)
             (when (memq (process-status process) '(exit signal))
               (unwind-protect
                   (when (and (buffer-live-p source) (eq process (buffer-local-value 'withy--check-process source)))
                     (with-current-buffer (process-buffer process)
                       (funcall report (withy--messages source))))
                 (kill-buffer (process-buffer process)))))))
    (save-restriction
      (widen)
      (process-send-region withy--check-process (point-min) (point-max)))
    (process-send-eof withy--check-process)))

;;;; The mode

(defvar withy-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?- "_" table)
    (modify-syntax-entry ?_ "_" table)
    (modify-syntax-entry ?/ "_" table)
    table)
  "Of `withy-mode': a comment goes from # to the end of its line.")

(defvar eglot-server-programs)

;;;###autoload
(define-derived-mode withy-mode text-mode "Withy"
  "Major mode for the books of Withy, one event a line."
  (setq withy--own (withy--read-own))
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#+[ \t]*")
  (setq-local indent-line-function #'ignore)
  (setq-local require-final-newline t)
  (setq-local outline-regexp "#")
  (setq-local font-lock-defaults '(((withy--paint-lines)) t))
  (setq-local imenu-generic-expression withy-imenu-expression)
  (setq-local imenu-case-fold-search nil)
  (add-hook 'completion-at-point-functions #'withy-completion-at-point nil t)
  (add-hook 'flymake-diagnostic-functions #'withy-flymake nil t))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.wy\\'" . withy-mode))
;;;###autoload
(add-to-list 'magic-mode-alist '("# withy [0-9]+[ \t\r]*$" . withy-mode))

;;;###autoload
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(withy-mode . ("wy-serve"))))

(provide 'withy-mode)

;;; withy-mode.el ends here
