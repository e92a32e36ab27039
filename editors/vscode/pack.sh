#!/bin/sh
# pack.sh [-H HOUSE] [OUT.vsix] - packs this extension for VS Code: its files under extension/, with the two lists that
# the form asks for. With -H, the grammar knows the house file's own events and fields. Needs python3, for its zip
# writer. Install with `code --install-extension withy.vsix`.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
house=
if [ "${1:-}" = -H ]; then
	[ $# -ge 2 ] || { echo 'usage: pack.sh [-H HOUSE] [OUT.vsix]' >&2; exit 2; }
	house=$2
	shift 2
fi
out=${1:-withy.vsix}
case $out in /*) ;; *) out=$PWD/$out ;; esac
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
version=$(sed -n 's/^  "version": "\(.*\)",$/\1/p' "$here/package.json")
mkdir -p "$work/extension/syntaxes" "$work/extension/snippets"
for file in package.json extension.js connection.js language-configuration.json syntaxes/withy.tmLanguage.json snippets/withy.json; do
	cp "$here/$file" "$work/extension/$file"
done
if [ -n "$house" ]; then
	grammar=syntaxes/withy.tmLanguage.json
	sh "$here/../house/words.sh" -H "$house" "$here/$grammar" >"$work/extension/$grammar"
fi
cp "$here/../../spec/house.schema.json" "$work/extension/"
# `make install` does not put the text of the licence beside it; package.json names it.
licence=
if [ -f "$here/../../LICENSE" ]; then
	cp "$here/../../LICENSE" "$work/extension/LICENSE.txt"
	licence='<License>extension/LICENSE.txt</License>'
fi
cat >"$work/[Content_Types].xml" <<'END'
<?xml version="1.0" encoding="utf-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension=".json" ContentType="application/json"/><Default Extension=".js" ContentType="application/javascript"/><Default Extension=".txt" ContentType="text/plain"/><Default Extension=".vsixmanifest" ContentType="text/xml"/></Types>
END
cat >"$work/extension.vsixmanifest" <<END
<?xml version="1.0" encoding="utf-8"?>
<PackageManifest Version="2.0.0" xmlns="http://schemas.microsoft.com/developer/vsx-schema/2011">
  <Metadata>
    <Identity Language="en-US" Id="withy" Version="$version" Publisher="withy"/>
    <DisplayName>Withy</DisplayName>
    <Description xml:space="preserve">Books of Withy</Description>
    <Categories>Programming Languages,Linters</Categories>
    <Properties><Property Id="Microsoft.VisualStudio.Code.Engine" Value="^1.82.0"/></Properties>
    $licence
  </Metadata>
  <Installation><InstallationTarget Id="Microsoft.VisualStudio.Code"/></Installation>
  <Dependencies/>
  <Assets><Asset Type="Microsoft.VisualStudio.Code.Manifest" Path="extension/package.json" Addressable="true"/></Assets>
</PackageManifest>
END
find "$work" -exec touch -d 1980-01-02T00:00:00Z {} +
rm -f "$out"
cd "$work"
python3 -m zipfile -c "$out" '[Content_Types].xml' extension.vsixmanifest extension
