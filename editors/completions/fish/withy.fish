# Completion of Withy's tools for fish. Made by `make words` from withy.fish.in: to change it, edit that. But for the
# tools' names it holds no words: it asks the tool that is being typed (--help-options), the wy-check beside it for
# events, fields and rules, and the wy-jot beside it for entries, the house's words and the ids of the book.

# The tool $argv[2] that is beside $argv[1].
function __withy_beside
    if string match -q '*/*' -- $argv[1]
        echo (dirname -- $argv[1])/$argv[2]
    else
        echo $argv[2]
    end
end

function __withy_check
    set -l check (__withy_beside $argv[1] wy-check)
    $check $argv[2..] --as=tsv 2>/dev/null | tail -n +2
end

function __withy_events
    __withy_check $argv[1] --events | cut -f 1 | sort -u
end

# The house file that the line names, as an option.
function __withy_house
    set -l words (commandline -opc)
    for i in (seq (count $words))
        switch $words[$i]
            case -H --house
                test $i -lt (count $words); and echo --house=$words[(math $i + 1)]
            case '--house=*'
                echo $words[$i]
        end
    end | tail -n 1
end

# What wy-jot offers for $argv[2] (entry, ids, dates or a field), with the words after it.
function __withy_jot
    set -l jot (__withy_beside $argv[1] wy-jot)
    set -l house (__withy_house)
    $jot $house --complete=$argv[2] -- $argv[3..] 2>/dev/null
end

# The lines of standard input, each after $argv[1].
function __withy_after
    while read -l row
        printf '%s\n' $argv[1]$row
    end
end

# A word of the list $argv[2], after $argv[3] and what is there up to its last comma.
function __withy_listed
    test -n "$argv[2]"; or return
    set -l token (commandline -ct)
    set -l before $argv[3]
    if string match -q '*,*' -- $token
        set before (string replace -r '[^,]*$' '' -- $token)
    end
    __withy_jot $argv[1] $argv[2] | __withy_after "$before"
end

# The list that the value of an option is from: $argv[1] is the value's name, $argv[2] the option.
function __withy_list
    switch $argv[1]:$argv[2]
        case 'CAUSE:*'
            echo cause
        case 'CLASS:*'
            echo class
        case 'GRADE:*'
            echo grade
        case 'TYPE:*'
            echo type
        case 'KILN,...:*'
            echo kiln
        case 'PERSON:*' 'WHO:*'
            echo by
        case 'PLACE:*' 'WHERE,...:*' 'ID:--place'
            echo at
        case 'ID:--meter'
            echo meter
        case 'ID:*' 'PIECES:*'
            echo ids
    end
end

# Files whose names end so, and folders, after $argv[1].
function __withy_files
    set -l typed (string replace -- "$argv[1]" '' (commandline -ct))
    for file in $typed*
        if test -d $file
            printf '%s%s/\n' "$argv[1]" $file
        else if test (count $argv) -eq 1; or string match -qr -- $argv[2] $file
            printf '%s%s\n' "$argv[1]" $file
        end
    end
end

# The value of the option $argv[2] of the tool $argv[1], of kind $argv[3] with the words or the name $argv[4];
# $argv[5] is before the value.
function __withy_value
    switch $argv[3]:$argv[4]:$argv[2]
        case 'word:*'
            string split '|' -- $argv[4] | __withy_after "$argv[5]"
        case 'date:*'
            set -q WITHY_TODAY; and echo $argv[5]$WITHY_TODAY; or echo $argv[5](date +%F)
        case '*:FILE:--house' '*:MAP:*'
            __withy_files "$argv[5]" '\.ya?ml$'
        case '*:FILE:*' '*:BOOK:*'
            __withy_files "$argv[5]"
        case '*:EVENT:*'
            __withy_events $argv[1] | __withy_after "$argv[5]"
        case '*:RULE=LEVEL:*'
            if string match -qr '^[^=]*=[^=]*=' -- "--level="(string replace -- "$argv[5]" '' (commandline -ct))
                printf '%s\n' none note warning error | __withy_after (string replace -r '[^=]*$' '' -- (commandline -ct))
            else
                __withy_check $argv[1] --rules | cut -f 1 | sed 's/$/=/' | __withy_after "$argv[5]"
            end
        case '*'
            __withy_listed $argv[1] (__withy_list $argv[4] $argv[2]; or echo) "$argv[5]"
    end
end

# When the value of an option is being typed, offers it; else fails.
function __withy_option_value
    set -l tool $argv[1]
    set -l token (commandline -ct)
    set -l before (commandline -opc)
    for row in $argv[2..]
        set -l cells (string split \t -- $row)
        test "$cells[3]" = flag; and continue
        if string match -q -- "$cells[1]=*" $token
            __withy_value $tool $cells[1] $cells[3] "$cells[4]" $cells[1]=
            return 0
        else if test "$before[-1]" = $cells[1]; or test -n "$cells[2]" -a "$before[-1]" = "$cells[2]"
            __withy_value $tool $cells[1] $cells[3] "$cells[4]" ''
            return 0
        end
    end
    return 1
end

function __withy_condition
    set -l token (string replace -r '^except:' '' -- (commandline -ct))
    set -l before (string match -r '^except:' -- (commandline -ct))
    set -l field (string replace -r '=.*' '' -- $token)
    switch $token
        case 'event=*'
            __withy_events $argv[1] | __withy_after "$before"event=
        case 'subject=*' 'touches=*'
            __withy_listed $argv[1] ids "$before$field="
        case 'date=*'
            __withy_listed $argv[1] dates "$before$field="
        case 'has=*'
            begin
                printf '%s\n' time remark
                __withy_check $argv[1] --events | cut -f 2 | sort -u
            end | __withy_after "$before"has=
        case '*=*'
            __withy_listed $argv[1] $field "$before$field="
            __withy_check $argv[1] --events | awk -F '\t' -v field=$field '$2 == field && $6 { gsub(/[,|]/, "\n", $6); print $6; exit }' | __withy_after "$before$field="
        case '*'
            begin
                printf '%s\n' event subject date time remark line~ has touches
                __withy_check $argv[1] --events | cut -f 2 | sort -u
            end | sed 's/[^~]$/&=/; /^$/d' | __withy_after "$before"
    end
end

# A quantity of wy-reckon, then the words that it needs.
function __withy_quantity
    set -l rows ($argv[1] --list --as=tsv --no-header 2>/dev/null)
    set -l names (string replace -r '\t.*' '' -- $rows)
    set -l words (commandline -opc)
    for word in $words[2..]
        if contains -- $word $names
            printf '%s\n' $rows | awk -F '\t' -v quantity=$word '$1 == quantity { print $2 }' | tr -d '[]' | tr ' ' '\n' | sed -n 's/=.*/=/p' | sort -u
            return
        end
    end
    printf '%s\n' $names | sort -u
end

# The words of an entry before the one that is typed, and that.
function __withy_entry
    set -l words (commandline -opc)
    set -l before
    set -l skip 0
    for word in $words[2..]
        if test $skip = 1
            set skip 0
        else
            switch $word
                case -H --house --by --into --on
                    set skip 1
                case '-*'
                case '*'
                    set -a before $word
            end
        end
    end
    __withy_jot $argv[1] entry $before (commandline -ct)
end

function __withy_operand
    set -l words (commandline -opc)
    switch (basename -- $argv[1])
        case wy-reckon
            __withy_quantity $argv[1]
        case wy-intake
            __withy_files ''
        case wy-start
            __withy_files '' '^$'
        case wy-jot
            __withy_entry $argv[1]
        case wy-trace
            __withy_jot $argv[1] ids
            __withy_files '' '\.wy$'
        case wy-pick
            __withy_condition $argv[1]
            __withy_files '' '\.wy$'
        case wy-flat
            __withy_events $argv[1]
            __withy_files '' '\.wy$'
        case wy-check
            if contains -- --events $words
                __withy_events $argv[1]
            else if contains -- --about $words; or contains -- --rules $words
                __withy_check $argv[1] --rules | cut -f 1
            else
                __withy_files '' '\.wy$'
            end
        case '*'
            __withy_files '' '\.wy$'
    end
end

function __withy_words
    set -l words (commandline -opc)
    set -l tool (string replace -r '^~/' "$HOME/" -- $words[1])
    set -l options ($tool --help-options 2>/dev/null)
    if contains -- -- $words
        __withy_operand $tool
    else if __withy_option_value $tool $options
    else if string match -q -- '-*' (commandline -ct)
        printf '%s\n' $options | awk -F '\t' '{ print $1 ($3 == "flag" ? "" : "=") "\t" $5 }'
    else
        __withy_operand $tool
    end
end

for tool in wy-air wy-board wy-chart wy-check wy-cost wy-dry wy-due wy-flat wy-grade wy-intake wy-jot wy-label wy-merge wy-moist wy-month wy-pair wy-pick wy-plan wy-reckon wy-returns wy-serve wy-start wy-stock wy-tidy wy-trace wy-weigh wy-yield
    complete -c $tool -f -a '(__withy_words)'
end
